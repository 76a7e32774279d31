"""The land through the API: a file's dry run and its act, the end of a permission, of a feature."""

import json
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile

from tests.api.caller import V1, Caller, Cast
from tests.api.ids import api_ids
from tests.world import START, World
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.land.models import Feature


def upload(caller: Caller, name: str, raw: bytes, **said: Any) -> Any:
    return caller.client.post(
        f"{V1}teams/{caller.team}/features/dry-run/",
        {"file": SimpleUploadedFile(name, raw), **said},
        headers={"Authorization": f"Bearer {caller.token}"},
    )


def test_a_dry_run_is_sent_back_as_one_act_and_taken_once(cast: Cast, world: World) -> None:
    way = {"type": "LineString", "coordinates": [[-128.4, 61.9], [-128.3, 61.9]]}
    post = {"type": "MultiPoint", "coordinates": [[1, 2]]}
    raw = {"type": "FeatureCollection", "features": [
        {"type": "Feature", "geometry": one, "properties": {}} for one in (way, post)
    ]}  # fmt: skip
    answer = upload(cast.instructor, "land.geojson", json.dumps(raw).encode(), kind="road")
    assert answer.status_code == 200, answer.content
    rows, body = answer.json()["features"], answer.json()["body"]
    assert [(row["comes_in"], [one["code"] for one in row["problems"]]) for row in rows] == [
        (True, []), (False, ["feature_other_shape"]),
    ]  # fmt: skip
    with team_scope(world.team):
        assert not Feature.objects.exists()
    call = {**body, "act": str(new_id()), "at": START.isoformat()}
    first = cast.instructor.post("./features/import/", call)
    assert (first.status_code, first.json()["state"]) == (201, "applied"), first.content
    assert cast.instructor.post("./features/import/", call).status_code == 200
    with team_scope(world.team):
        assert [(one.kind, one.source) for one in Feature.objects.all()] == [
            ("road", "land.geojson")
        ]


def test_a_broken_file_is_refused_whole_with_its_place(cast: Cast) -> None:
    answer = upload(cast.instructor, "land.json", b'{"type": "FeatureCollection",\n,}')
    assert answer.status_code == 400
    (problem,) = answer.json()["problems"]
    assert problem["detail"].startswith("Line 2: Column 1: this is no JSON")
    assert upload(cast.instructor, "land.kml", b"<kml/>").status_code == 400


def test_a_permission_is_ended_and_a_feature_taken_off(cast: Cast, world: World) -> None:
    own, others = world.set("A-1"), world.set("A-2", responsible=world.instructor)
    ids = api_ids(world, own, others)
    end = cast.manager.post(f"./permissions/{ids['permission']}/end/", {"from_day": "2026-01-10"})
    assert end.status_code == 201, end.content
    shown = cast.manager.get(f"./permissions/{ids['permission']}/").json()["properties"]
    assert (shown["valid_until"], shown["withdrawn_on"]) == ("2026-01-09", "2026-01-10")
    drop = f"./features/{ids['feature']}/drop/"
    assert cast.instructor.post(drop, {}).status_code == 201
    assert cast.instructor.post(drop, {}).status_code == 404
