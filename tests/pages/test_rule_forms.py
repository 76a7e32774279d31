"""A rule through a form, zones from a file, what an officer said; the rules of a date."""

import json
from copy import deepcopy
from typing import Any

import pytest
from django.test import Client

from tests.pages.reading import filled, form_with, forms, words
from tests.record.acting import do
from tests.rulebook.every_matter import every_rule
from tests.world import RULEBOOK, World
from trapline.ground.scope import team_scope
from trapline.people.models import Person
from trapline.rulebook.models import Authority, Version

pytestmark = pytest.mark.django_db
CHANGE = "/t/north/rules/change/"
SAME = "It says the same as the version in force."

SUN = {"sun": "sunset", "offset_min": -30, "otherwise": "17:00"}
MORE = [
    ("each_day", {"by": SUN, "between": {"from": "06:00", "to": SUN}}),
    ("every_days", {"days": 3, "no_tending": {"from": "22:00", "to": "05:00"}}),
    ("each_week", {"first_weekday": 6}),
    (
        "by_temperature",
        {"rows": [{"from_c": -9, "to_c": 5.5, "hours": 2}], "nothing_below_c": -10},
    ),
    ("monitored", {"status_hours": 24, "visit_hours": 24}),
    ("none", {}),
]


def whole() -> list[dict[str, Any]]:
    """A rule of every matter and form, one with everything that it can apply to."""
    rules = every_rule("territory") + [
        {
            "code": f"m-{n}",
            "authority": "team",
            "matter": "check",
            "form": form,
            "params": params,
        }
        for n, (form, params) in enumerate(MORE)
    ]
    rules.append(
        {
            "code": "once", "authority": "team", "matter": "season", "form": "once",
            "params": {"opens_on": "2025-11-01", "opens_by": "07:00", "closes_on": "2026-02-28"},
            "species": ["marten", "lynx"], "zones": ["A"], "device_classes": ["snare", "cage"],
            "actions": ["holding"], "placements": ["land", "under_ice"],
            "licence_kinds": ["resident", "youth"], "from_day": "11-15", "until_day": "03-01",
            "holds_from": "2025-09-01T06:00:00Z", "holds_until": "2026-09-01T00:00:00-07:00",
            "source": "Section 4.\nSecond line.",
        }
    )  # fmt: skip
    return rules


def take(world: World, rules: list[dict[str, Any]]) -> None:
    do(world.manager, "take_rulebook", {"document": deepcopy(RULEBOOK) | {"rules": rules}})


def versions(world: World) -> int:
    with team_scope(world.team):
        return int(Version.objects.count())


@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_a_rule_of_any_form_comes_out_of_its_form_as_it_went_in(
    world: World, manager: Client, units: str
) -> None:
    Person.objects.filter(name="Maud").update(units=units)
    rules = whole()
    take(world, rules)
    for rule in rules:
        page = manager.get(f"{CHANGE}{rule['code']}/")
        answer = manager.post(f"{CHANGE}{rule['code']}/", filled(page, "code"))
        assert answer.status_code == 200, (rule, words(answer))
        assert SAME in words(answer), rule


def test_a_changed_rule_becomes_a_version_once_it_is_taken_in(
    world: World, manager: Client
) -> None:
    page = manager.get(f"{CHANGE}team-two-days/")
    shown = manager.post(
        f"{CHANGE}team-two-days/",
        filled(page, "code", asks_hours="36", since="2026-01-05T11:00", source="Agreed."),
    )
    told = words(shown)
    assert "~ team-two-days At most 48 hours after the last visit. At most 36 hours" in told
    assert versions(world) == 1
    confirm = next(form for form in forms(shown) if "document" in form.values)
    assert manager.post(confirm.action, confirm.values).status_code == 302
    assert versions(world) == 2
    told = words(manager.get("/t/north/rules/"))
    assert "At most 36 hours after the last visit. every set · Agreed." in told
    with team_scope(world.team):
        first, second = Version.objects.order_by("number")
    assert len(first.document["rules"]) == len(second.document["rules"]) == 3
    assert first.document["rules"][2]["params"] == {"hours": 48}


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"asks_hours": "0"}, "asks_hours", "This number is out of the range"),
        ({"asks_hours": ""}, "asks_hours", ""),
        ({"code": "two words"}, "code", ""),
        ({"from_day": "11-01"}, "until_day", "A span of days needs both"),
        ({"from_day": "02-30", "until_day": "03-01"}, "from_day", "There is no such day."),
        ({"code": "killing-third-day"}, "code", "was already given"),
        ({"asks_no_tending_from_clock": "22:00"}, "asks_no_tending", ""),
        ({"instead_of": ["holding-each-day"]}, "instead_of", "was made by another authority"),
    ],
)
def test_what_a_file_would_be_refused_for_is_told_at_its_field(
    world: World, manager: Client, typed: dict[str, Any], field: str, sentence: str
) -> None:
    page = manager.get(f"{CHANGE}team-two-days/")
    answer = manager.post(f"{CHANGE}team-two-days/", filled(page, "code", **typed))
    assert answer.status_code == 422
    wrong = {name for name in answer.context["form"].errors if name.startswith(field)}
    assert wrong, answer.context["form"].errors
    assert sentence in words(answer)
    assert versions(world) == 1


def test_a_new_rule_is_chosen_written_and_added(world: World, manager: Client) -> None:
    listed = manager.get("/t/north/rules/new/")
    address = "/t/north/rules/new/setback/from_feature/"
    assert address in listed.content.decode()
    said = {"code": "trail", "authority": "territory", "asks_feature": "trail"}
    answer = manager.post(
        address, filled(manager.get(address), "code", **said, asks_at_least_m="15.24")
    )
    assert "+ trail At least 15.24 m from: Trail. added" in words(answer).replace("\u00a0", " ")


def test_a_rule_is_taken_out_unless_another_stands_instead_of_it(
    world: World, manager: Client
) -> None:
    rules = deepcopy(RULEBOOK["rules"])
    rules.append(rules[0] | {"code": "narrow", "instead_of": ["holding-each-day"]})
    take(world, rules)
    address = f"{CHANGE}holding-each-day/"
    refused = manager.post(address, filled(manager.get(address), "code", remove="1"))
    assert refused.status_code == 422
    assert "It stands instead of holding-each-day, which is not in this file." in words(refused)
    address = f"{CHANGE}narrow/"
    shown = manager.post(address, filled(manager.get(address), "code", remove="1"))
    assert "– narrow At most 24 hours after the last visit. removed" in words(shown)


def test_a_rule_that_the_version_in_force_has_not_is_not_there(
    world: World, manager: Client
) -> None:
    assert manager.get(f"{CHANGE}never/").status_code == 404
    assert manager.get("/t/north/rules/new/setback/strength/").status_code == 404


OPEN_RING = [[0, 0], [1, 1], [0, 1], [1, 0]]


def zones(*features: dict[str, Any]) -> str:
    return json.dumps({"type": "FeatureCollection", "features": list(features)}, indent=1)


def zone(code: str | None, geometry: dict[str, Any] | None = None) -> dict[str, Any]:
    square = [[[10, 60], [11, 60], [11, 61], [10, 61], [10, 60]]]
    return {
        "type": "Feature",
        "properties": {"code": code, "name": "Drawn"} if code else {},
        "geometry": geometry or {"type": "Polygon", "coordinates": square},
    }


def test_zones_of_a_geojson_file_go_into_a_version(world: World, manager: Client) -> None:
    address = "/t/north/rules/zones/"
    shown = manager.post(
        address, filled(manager.get(address), "text", text=zones(zone("A"), zone("B")))
    )
    told = words(shown)
    assert "+ B · Drawn added" in told
    assert "~ A name, area changed" in told
    confirm = next(form for form in forms(shown) if "document" in form.values)
    assert manager.post(confirm.action, confirm.values).status_code == 302
    with team_scope(world.team):
        newest = Version.objects.latest("number")
    assert [one["code"] for one in newest.document["zones"]] == ["A", "B"]


@pytest.mark.parametrize(
    ("text", "path", "sentence"),
    [
        (zones(zone("A"), zone(None)), "features.1.properties", "needs a property “code”"),
        (
            zones(zone("A", {"type": "Point", "coordinates": [10, 60]})),
            "features.0.geometry",
            "A zone is a Polygon or a MultiPolygon",
        ),
        (zones(), "features", "no GeoJSON FeatureCollection"),
        ("[1]", "type", "no GeoJSON FeatureCollection"),
        (
            zones(zone("C", {"type": "Polygon", "coordinates": [OPEN_RING]})),
            "zones.1.area.coordinates.0",
            "The ring does not end where it begins.",
        ),
    ],
)
def test_a_file_of_zones_with_a_fault_is_refused_whole(
    world: World, manager: Client, text: str, path: str, sentence: str
) -> None:
    address = "/t/north/rules/zones/"
    answer = manager.post(address, filled(manager.get(address), "text", text=text))
    assert answer.status_code == 422
    assert path in words(answer)
    assert sentence in words(answer)


def test_a_version_of_before_is_read_as_it_was(world: World, student: Client) -> None:
    take(world, [])
    with team_scope(world.team):
        first = Version.objects.get(number=1)
    page = words(student.get(f"/t/north/rules/versions/{first.id}/"))
    assert "Version 1" in page
    assert "The territory State Check interval At most 24 hours after the last visit." in page
    assert "At most 24 hours" not in words(student.get("/t/north/rules/"))
    file = student.get(f"/t/north/rules/versions/{first.id}/file/")
    assert b"holding-each-day" in file.content


def test_an_extension_is_noted_for_a_set_of_a_line(world: World, instructor: Client) -> None:
    made, other = world.set("S1"), world.set("S2")
    address = f"/t/north/lines/{world.line}/extension/?set={made}"
    page = instructor.get(address)
    assert form_with(page, "officer").values["sets"] == [str(made)]
    with team_scope(world.team):
        territory = str(Authority.objects.get(code="territory").id)
    said = {"authority": territory, "officer": "Ek", "number": "1", "until": "2026-01-06T20:00"}
    answer = instructor.post(address, filled(page, "officer", **said))
    assert answer.status_code == 302, words(answer)
    assert "binds, by an officer’s extension" in words(instructor.get(f"/t/north/sets/{made}/"))
    assert "extension binds" not in words(instructor.get(f"/t/north/sets/{other}/"))


def test_a_closure_is_noted_shown_and_ended(world: World, instructor: Client) -> None:
    world.set("S1")
    address = "/t/north/rules/close/"
    page = instructor.get(address)
    with team_scope(world.team):
        territory = str(Authority.objects.get(code="territory").id)
    said = {
        "authority": territory, "species": str(world.species["marten"]), "zone": "A",
        "from_at": "2026-01-06T12:00", "grace_hours": "24", "reference": "Notice 4",
    }  # fmt: skip
    answer = instructor.post(address, filled(page, "reference", **said))
    assert answer.status_code == 302, words(answer)
    told = words(instructor.get("/t/north/rules/"))
    assert "Marten · zone A The territory · Notice 4" in told
    assert "Pull before the close" in words(instructor.get("/t/north/"))
    end = instructor.get("/t/north/rules/").content.decode().split("/open/")[0].split("/")[-1]
    address = f"/t/north/rules/closures/{end}/open/"
    said = {"from_at": "2026-01-08T12:00", "reference": "Notice 5"}
    answer = instructor.post(address, filled(instructor.get(address), "reference", **said))
    assert answer.status_code == 302, words(answer)
    assert "open again by Notice 5" in words(instructor.get("/t/north/rules/"))


def test_the_rules_that_bound_a_set_on_a_date_are_answered_on_a_page(
    world: World, student: Client
) -> None:
    made = world.set("S1")
    address = f"/t/north/sets/{made}/rules/"
    page = words(student.get(f"{address}?at=2026-01-06"))
    assert "At most 24 hours after the last visit. holding-each-day" in page
    assert "is met later" in page
    assert "1 does not apply" in page
    assert "The device does something else to an animal." in page
    before = words(student.get(f"{address}?at=2025-12-03"))
    assert "The set did not stand at that moment" in before
    wrong = student.get(f"{address}?at=yesterday")
    assert wrong.status_code == 422
