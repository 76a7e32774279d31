"""Sets from a file: what would happen, then what happened, once."""

from datetime import datetime
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from gpxpy.gpx import GPX, GPXWaypoint

from tests.api.caller import V1, Caller, Cast
from tests.world import START, World
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.journal.models import Act
from trapline.lines.models import Set
from trapline.standing.models import SetState


def upload(caller: Caller, name: str, raw: bytes, **said: Any) -> Any:
    return caller.client.post(
        f"{V1}teams/{caller.team}/imports/",
        {"file": SimpleUploadedFile(name, raw), **said},
        headers={"Authorization": f"Bearer {caller.token}"},
    )


def waypoints(*labels: str, time: datetime | None = START) -> bytes:
    """A GPX file as gpxpy writes it."""
    book = GPX()
    book.waypoints = [
        GPXWaypoint(61.9 + at / 1000, -128.4, name=label, time=time)
        for at, label in enumerate(labels)
    ]
    return book.to_xml(version="1.1").encode()


def form(world: World) -> dict[str, Any]:
    return {
        "line": str(world.line), "licence": str(world.licence), "placement": "land",
        "responsible": str(world.student.member), "targets": [str(world.species["marten"])],
        "device_kind": str(world.kinds["snare"]),
    }  # fmt: skip


def test_a_dry_run_writes_nothing_and_its_acts_place_each_set_once(
    cast: Cast, world: World
) -> None:
    for mark in ("K-1", "K-2"):
        world.device("snare", mark)
    answer = upload(cast.instructor, "sets.gpx", waypoints("C-01", "C-02"), **form(world))
    assert answer.status_code == 200, answer.content
    rows = answer.json()["rows"]
    assert [(row["label"], row["problems"]) for row in rows] == [("C-01", []), ("C-02", [])]
    with team_scope(world.team):
        assert not Set.objects.exists()
        assert not Act.objects.filter(kind="place_set").exists()
    acts = {"acts": [row["act"] for row in rows]}
    first = cast.instructor.post("./imports/commit/", acts)
    assert [one["state"] for one in first.json()["acts"]] == ["applied", "applied"], first.content
    again = cast.instructor.post("./imports/commit/", acts)
    assert [one["state"] for one in again.json()["acts"]] == ["known", "known"]
    with team_scope(world.team):
        placed = list(SetState.objects.order_by("set__label").select_related("set", "device"))
    assert [(one.set.label, one.device.mark, one.placed_at) for one in placed] == [
        ("C-01", "K-1", START), ("C-02", "K-2", START),
    ]  # fmt: skip
    assert {one.responsible_id for one in placed} == {world.student.member}


def test_a_table_names_things_as_the_team_does_and_each_refusal_has_its_line_and_reason(
    cast: Cast, world: World
) -> None:
    for mark in ("K-1", "K-2", "K-3"):
        world.device("snare", mark)
    world.set("S1")  # its device: S1-device
    columns = "line,licence,device,responsible,targets,placement,placed_at,loop_height_m"
    raw = f"""label,lat,lon,{columns}
A,61.9,-128.4,creek LINE,T-{world.slug},K-1,signe,marten;Lynx,land,2026-01-05T12:00:00-07:00,0.25
B,61.9,-128.4,Creek line,T-{world.slug},K-1,Signe,marten,land,,
C,61.9,-128.4,Ridge,T-0,K-9,Nobody,wolf,land,,
D,61.9,-128.4,Creek line,T-{world.slug},S1-device,,marten,tree,,
A,61.9,-128.4,Creek line,T-{world.slug},K-2,,,land,,
F,95,-128.4,Creek line,T-{world.slug},K-3,,,land,,
G,61.9,-128.4,Creek line,T-{world.slug},,,,land,2199-01-01T00:00:00Z,
H,61.9,-128.4,Creek line,T-{world.slug},K-3,,,land,2199-01-01T00:00:00Z,
"""
    answer = upload(cast.instructor, "sets.csv", raw.encode())
    assert answer.status_code == 200, answer.content
    rows = answer.json()["rows"]
    said = {
        row["line_no"]: [(one["field"], one["code"]) for one in row["problems"]] for row in rows
    }
    assert said == {
        2: [],
        3: [("device", "device_in_use")],
        4: [
            ("line", "row_unknown_name"), ("licence", "row_unknown_name"),
            ("device", "row_unknown_name"), ("targets", "row_unknown_name"),
            ("responsible", "row_unknown_name"),
        ],
        5: [("placement", "shape_enum")],
        6: [("label", "label_taken")],
        7: [("lat", "row_degrees")],
        8: [("device", "row_not_said")],
        9: [("at", "time_ahead")],
    }  # fmt: skip
    assert all(one["detail"] for row in rows for one in row["problems"])
    assert rows[0]["act"]["at"] == "2026-01-05T19:00:00Z"
    assert rows[0]["act"]["body"]["loop_height_m"] == 0.25
    assert len(rows[0]["act"]["body"]["targets"]) == 2


def test_too_few_free_devices_are_told_row_by_row(cast: Cast, world: World) -> None:
    world.device("snare", "K-1")
    rows = upload(cast.instructor, "s.gpx", waypoints("A", "B"), **form(world)).json()["rows"]
    assert [[one["code"] for one in row["problems"]] for row in rows] == [
        [],
        ["row_no_free_device"],
    ]


def test_a_file_that_cannot_be_read_is_refused_whole_with_its_line(
    cast: Cast, world: World
) -> None:
    for name, raw, status, code, where in (
        ("sets.gpx", waypoints("A")[:-20], 400, "gpx_broken", "Line "),
        ("sets.gpx", b'<!DOCTYPE gpx [<!ENTITY a "b">]><gpx/>', 400, "gpx_entities", "Line 1"),
        ("sets.csv", b"label;lat\n", 400, "csv_no_column", "lon"),
        ("sets.kml", b"<kml/>", 400, "file_other_kind", ""),
        ("sets.gpx", b"x" * (2 * 1024 * 1024 + 1), 413, "file_too_large", ""),
        ("sets.gpx", b" " * (3 * 1024 * 1024), 413, "too_large", ""),
    ):
        answer = upload(cast.instructor, name, raw, **form(world))
        assert answer.status_code == status, (name, answer.content)
        (problem,) = answer.json()["problems"]
        assert (problem["field"], problem["code"]) == ("file", code)
        assert where in problem["detail"]


def test_a_form_that_says_nonsense_names_its_fields(cast: Cast, world: World) -> None:
    answer = upload(cast.instructor, "s.gpx", waypoints("A"), line="x", placement="tree", at="now")
    assert answer.status_code == 400
    assert {one["field"] for one in answer.json()["problems"]} == {"line", "placement", "at"}
    missing = cast.instructor.client.post(
        f"{V1}teams/north/imports/",
        {"line": str(world.line)},
        headers={"Authorization": f"Bearer {cast.instructor.token}"},
    )
    assert [one["field"] for one in missing.json()["problems"]] == ["file"]


def test_another_teams_line_looks_unknown(cast: Cast, world: World, other_world: World) -> None:
    world.device("snare", "K-1")
    for line in (other_world.line, new_id()):
        said = {**form(world), "line": str(line)}
        (row,) = upload(cast.instructor, "s.gpx", waypoints("A"), **said).json()["rows"]
        assert [(one["field"], one["code"]) for one in row["problems"]] == [("line", "waits_for")]


def test_an_act_changed_after_its_dry_run_is_a_conflict_or_refused(
    cast: Cast, world: World
) -> None:
    world.device("snare", "K-1")
    answer = upload(cast.instructor, "s.gpx", waypoints("A"), **form(world))
    (row,) = answer.json()["rows"]
    cast.instructor.post("./imports/commit/", {"acts": [row["act"]]})
    changed = {**row["act"], "body": {**row["act"]["body"], "label": "B"}}
    broken = {**row["act"], "act": str(new_id()), "body": {"label": "C"}}
    told = cast.instructor.post("./imports/commit/", {"acts": [changed, broken]}).json()["acts"]
    assert [one["state"] for one in told] == ["conflict", "refused"]
    assert "line" in {one["field"] for one in told[1]["problems"]}


def test_sets_go_out_as_files_and_a_student_gets_only_their_own(cast: Cast, world: World) -> None:
    world.set("S1")
    world.set("S2", responsible=world.instructor)
    gpx = cast.student.get("./exports/sets.gpx")
    assert gpx["Content-Type"] == "application/gpx+xml"
    assert "sets.gpx" in gpx["Content-Disposition"]
    assert b"S1" in gpx.content
    assert b"S2" not in gpx.content
    whole = cast.instructor.get("./exports/sets.geojson").json()
    assert [one["properties"].get("label") for one in whole["features"]] == ["S1", "S2", None]
    assert cast.instructor.get(f"./exports/sets.geojson?line={new_id()}").json()["features"] == []
    assert cast.instructor.get("./exports/sets.gpx?line=x").status_code == 400
