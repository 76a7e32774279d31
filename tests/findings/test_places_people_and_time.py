"""Place, people, seasons, visits: each finding, and its absence, at one set-up. Data invented."""

from datetime import timedelta
from typing import Any

import pytest

from tests.findings.scene import codes, found, look, rule, sign_off, take
from tests.world import START, World
from trapline.findings.models import Finding
from trapline.findings.selectors import findings_of_set, open_findings
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.record.desk import submit
from trapline.standing.selectors import set_sheet

pytestmark = pytest.mark.django_db
HOUR, DAY = timedelta(hours=1), timedelta(days=1)
ZONE_B = {
    "code": "B", "name": "Lower valley",
    "area": {"type": "Polygon", "coordinates": [
        [[-128.2, 61.8], [-128.0, 61.8], [-128.0, 62.0], [-128.2, 62.0], [-128.2, 61.8]]]},
}  # fmt: skip


@pytest.fixture
def signed(world: World) -> None:
    for skill in ("snare", "body_gripping"):
        sign_off(world, skill)


def season(code: str, opens: str, closes: str, **more: Any) -> dict[str, Any]:
    params = {"opens_on": opens, "closes_on": closes, **more.pop("params", {})}
    return rule(code, "season", "each_year", params, **{"species": ["marten"], **more})


def parcel(world: World, west: float, until: str = "2026-06-30", **more: Any) -> None:
    ring = [[west, 61.8], [west + 0.2, 61.8], [west + 0.2, 62.0], [west, 62.0], [west, 61.8]]
    body = {
        "permission": new_id(), "parcel": {"type": "Polygon", "coordinates": [ring]},
        "name": f"Parcel {west}", "holder": "A neighbour", "valid_from": "2025-07-01",
        "valid_until": until, **more,
    }  # fmt: skip
    submit(world.manager, "keep_permission", body, at=START, now=START)


def test_a_season_that_is_open_is_no_finding_and_one_that_closes_becomes_one(
    world: World, signed: None
) -> None:
    set_id = world.set("A")
    take(world, season("marten", "11-01", "01-06", params={"closes_by": "12:00"}))
    assert found(world, set_id) == {}
    noon = START + 25 * HOUR  # 12:00 in the line's zone on the 6th
    look(noon - timedelta(seconds=1))
    assert codes(world, set_id) & {"not_pulled", "season_closed"} == set()
    look(noon)
    assert codes(world, set_id) & {"not_pulled", "season_closed"} == {"not_pulled"}
    assert found(world, set_id)["not_pulled:marten"]["closed_us"] == int(noon.timestamp()) * 10**6


def test_a_set_placed_after_the_close_is_for_a_closed_season(world: World, signed: None) -> None:
    take(world, season("marten", "11-01", "01-04"))
    assert codes(world, world.set("A")) == {"season_closed"}
    both = [world.species["marten"], world.species["lynx"]]
    take(world, season("marten", "11-01", "01-06"), season("lynx", "11-01", "03-01",
         species=["lynx"]), at=START + HOUR)  # fmt: skip
    two = world.set("B", targets=both, at=START + HOUR)
    look(START + 2 * DAY)
    assert codes(world, two) & {"not_pulled", "season_closed"} == {"season_closed"}


def test_a_season_that_lies_ahead_is_not_open(world: World, signed: None) -> None:
    take(world, season("marten", "02-01", "03-01"))
    set_id = world.set("A")
    assert codes(world, set_id) == {"season_not_open"}
    take(world, season("marten", "02-01", "03-01"), season("early", "01-01", "01-10"),
         at=START + HOUR)  # fmt: skip
    assert codes(world, set_id) == set()


def test_a_season_for_another_zone_only_opens_none_here(world: World, signed: None) -> None:
    zones = [*world_zones(), ZONE_B]
    set_id = world.set("A")
    take(world, season("marten", "11-01", "03-01", zones=["B"]), zones=zones)
    assert codes(world, set_id) == {"season_not_open"}
    take(world, season("marten", "11-01", "03-01", zones=["A"]), zones=zones, at=START + HOUR)
    assert codes(world, set_id) == set()


def world_zones() -> list[Any]:
    from tests.world import RULEBOOK

    return list(RULEBOOK["zones"])


def test_between_authorities_the_season_that_is_shut_binds(world: World, signed: None) -> None:
    set_id = world.set("A")
    ours = {**season("ours", "11-01", "01-03"), "authority": "team"}
    take(world, season("theirs", "11-01", "03-01"), ours)
    assert codes(world, set_id) & {"season_closed", "not_pulled"} == {"season_closed"}


def test_a_notice_closes_a_target_and_another_opens_it(world: World, signed: None) -> None:
    from trapline.rulebook.models import Authority

    set_id, closure = world.set("A"), new_id()
    with team_scope(world.team):
        authority = Authority.objects.get(code="territory").id
    body = {
        "closure": closure, "authority": authority, "species": world.species["marten"],
        "from_at": (START + HOUR).isoformat(), "grace_hours": 24, "reference": "Notice 1",
    }  # fmt: skip
    submit(world.manager, "close_by_notice", body, at=START, now=START)
    look(START)
    assert codes(world, set_id) == set()
    look(START + HOUR)
    assert set(found(world, set_id)) == {"closed_by_notice:marten"}
    again = {"closure": closure, "from_at": (START + 3 * HOUR).isoformat(), "reference": "2"}
    submit(world.manager, "reopen_by_notice", again, at=START + 2 * HOUR, now=START + 2 * HOUR)
    look(START + 3 * HOUR)
    assert codes(world, set_id) == set()


def caught(world: World, set_id: Any, at: Any, species: str = "marten") -> None:
    animal = {
        "animal": new_id(), "species": world.species[species], "alive_on_arrival": False,
        "fate": "found_dead",
    }  # fmt: skip
    world.check(world.student, set_id, at, found="animal", catches=[animal])


def open_limits(world: World) -> list[Finding]:
    with team_scope(world.team):
        return list(Finding.objects.filter(code="limit_reached", closed_at=None))


def test_a_bag_limit_and_a_quota_are_found_once_on_what_they_belong_to(world: World) -> None:
    take(
        world,
        rule("bag", "limit", "per_person", {"count": 2}, species=["marten"]),
        rule("quota", "limit", "per_zone", {"count": 3}, species=["marten"], zones=["A"]),
        rule("team", "limit", "per_team", {"count": 3}, species=["marten"]),
        rule("lynx", "limit", "per_person", {"count": 1}, species=["lynx"]),
    )
    sets = [world.set(name, "body") for name in ("A", "B", "C")]
    caught(world, sets[0], START + HOUR)
    look(START + HOUR)
    assert open_limits(world) == []
    caught(world, sets[1], START + 2 * HOUR)
    look(START + 2 * HOUR)
    (bag,) = open_limits(world)
    assert (bag.licence_id, bag.set_id, bag.numbers["count"]) == (world.licence, None, 2)
    caught(world, sets[2], START + 3 * HOUR)
    look(START + 3 * HOUR)
    found = {one.discriminator: one for one in open_limits(world)}
    assert set(found) == {"bag", "quota", "team"}
    assert found["quota"].zone_code == "A"
    assert found["team"].species_id == world.species["marten"]
    assert found["bag"].id == bag.id and found["bag"].numbers["count"] == 3


def test_a_limit_by_the_day_is_over_with_the_day(world: World) -> None:
    take(world, rule("day", "limit", "per_person", {"count": 1, "within": "day"}))
    caught(world, world.set("A", "body"), START + HOUR)
    look(START + HOUR)
    assert len(open_limits(world)) == 1
    look(START + 14 * HOUR)  # past midnight in the line's zone
    assert open_limits(world) == []


def test_a_limit_counts_what_its_rule_is_about_and_a_narrower_one_stands_in(world: World) -> None:
    take(
        world,
        rule("snares", "limit", "per_person", {"count": 1}, device_classes=["snare"]),
        rule("early", "limit", "per_person", {"count": 1}, from_day="12-01", until_day="12-31"),
        rule("wide", "limit", "per_person", {"count": 1}, actions=["killing"]),
        rule("narrow", "limit", "per_person", {"count": 2}, zones=["A"], instead_of=["wide"]),
    )
    caught(world, world.set("A", "body"), START + HOUR)
    look(START + HOUR)
    assert open_limits(world) == []
    caught(world, world.set("B", "body"), START + 2 * HOUR)
    look(START + 2 * HOUR)
    assert {one.discriminator: one.numbers["count"] for one in open_limits(world)} == {"narrow": 2}
    caught(world, world.set("C"), START + 3 * HOUR)
    look(START + 3 * HOUR)
    assert {one.discriminator: one.numbers["count"] for one in open_limits(world)} == {
        "narrow": 3, "snares": 1,
    }  # fmt: skip


def test_a_limit_is_told_on_the_sets_that_would_take_one_more(world: World) -> None:
    take(
        world,
        rule("bag", "limit", "per_person", {"count": 1}, species=["marten"]),
        rule("zone", "limit", "per_zone", {"count": 1}, species=["marten"], zones=["A"]),
        rule("team", "limit", "per_team", {"count": 1}, device_classes=["body_gripping"]),
    )
    body, snare = world.set("A", "body"), world.set("B", responsible=world.instructor)
    lynx = world.set("C", targets=[world.species["lynx"]])
    caught(world, body, START + HOUR)
    look(START + HOUR)

    def told(set_id: Any) -> set[str]:
        with team_scope(world.team):
            found = findings_of_set(world.team, set_sheet(world.team, set_id))
            return {one.discriminator for one in found if one.code == "limit_reached"}

    assert told(body) == {"bag", "zone", "team"}
    assert (told(snare), told(lynx)) == ({"bag", "zone"}, set())
    with team_scope(world.team):
        seen = open_findings(world.team, world.student.member, most=99)
        assert {one.discriminator for one in seen if one.set is None} == {"bag", "zone", "team"}
        assert open_findings(world.team, world.manager.member, most=99) == []


def test_a_limit_falls_away_with_the_check_that_told_of_the_animal(world: World) -> None:
    take(world, rule("bag", "limit", "per_person", {"count": 1}, species=["marten"]))
    set_id = world.set("A", "body")
    animal = {
        "animal": new_id(), "species": world.species["marten"], "alive_on_arrival": False,
        "fate": "found_dead",
    }  # fmt: skip
    check = world.check(world.student, set_id, START + HOUR, found="animal", catches=[animal])
    look(START + HOUR)
    assert len(open_limits(world)) == 1
    later = START + 2 * HOUR
    said = {"corrects": check, "withdraw": True}
    submit(world.student, "correct_check", said, at=later, now=later)
    look(later)
    assert open_limits(world) == []


def test_a_set_outside_every_permission_or_on_a_lapsed_one_is_found(
    world: World, signed: None
) -> None:
    set_id = world.set("A")
    assert codes(world, set_id) == set()  # a team that keeps no permission is not asked
    parcel(world, -129.0)
    assert codes(world, set_id) == {"no_permission"}
    parcel(world, -128.5, until="2026-01-05")
    assert codes(world, set_id) == set()
    look(START + 13 * HOUR - timedelta(seconds=1))  # the 5th still, in the line's zone
    assert codes(world, set_id) == set()
    look(START + 13 * HOUR)
    assert codes(world, set_id) == {"permission_lapsed"}


def test_leave_that_names_others_is_not_theirs(world: World, signed: None) -> None:
    set_id = world.set("A")
    parcel(world, -128.5, members=[str(world.instructor.member)])
    assert codes(world, set_id) == {"permission_not_theirs"}
    submit(world.instructor, "hand_over", {"set": set_id, "to": world.instructor.member},
           at=START, now=START)  # fmt: skip
    assert codes(world, set_id) == set()


def test_a_licence_that_has_run_out_is_found_on_the_local_date(world: World, signed: None) -> None:
    ends = START.replace(month=7, day=1, hour=7)  # midnight after 30 June where the line is
    set_id = world.set("A", at=ends - DAY)
    look(ends - timedelta(seconds=1))
    assert "licence_not_valid" not in codes(world, set_id)
    look(ends)
    assert "licence_not_valid" in codes(world, set_id)


def test_a_person_without_the_sign_off_is_found_until_they_have_it(world: World) -> None:
    set_id = world.set("A")
    assert set(found(world, set_id)) == {"no_sign_off:responsible"}
    act = sign_off(world, "snare")
    assert codes(world, set_id) == set()
    submit(world.instructor, "end_sign_off", {"sign_off": act}, at=START + HOUR, now=START + HOUR)
    assert codes(world, set_id) == {"no_sign_off"}


def test_who_placed_it_is_asked_as_of_the_placing(world: World) -> None:
    made = new_id()
    body = {
        "set": made, "line": world.line, "label": "A", "licence": world.licence,
        "place": (-128.40, 61.90), "placement": "land", "device": world.device("snare", "A-1"),
        "responsible": world.student.member, "targets": [],
    }  # fmt: skip
    submit(world.student, "place_set", body, at=START, now=START)
    assert set(found(world, made)) == {"no_sign_off:responsible", "no_sign_off:placer"}
    sign_off(world, "snare", START + HOUR)
    assert set(found(world, made)) == {"no_sign_off:placer"}


def test_a_learner_is_found_where_nobody_supervised_them_as_asked(world: World) -> None:
    take(world, rule("watched", "supervision", "while_learning", {"how": "in_sight"}))
    set_id = world.set("A")
    assert codes(world, set_id) == set()
    for hours, supervision, expected in (
        (1, "", {"unsupervised"}), (2, "in_sight", set()), (3, "on_call", {"unsupervised"}),
    ):  # fmt: skip
        by = world.instructor.member if supervision else None
        world.check(world.student, set_id, START + hours * HOUR, supervision=supervision,
                    supervised_by=by)  # fmt: skip
        assert codes(world, set_id) == expected
    sign_off(world, "snare", START)
    assert codes(world, set_id) == set()


def test_a_rule_may_ask_for_more_skills_than_the_device(world: World, signed: None) -> None:
    set_id = world.set("A")
    take(world, rule("all", "skill", "required", {"skills": ["dispatch"]}))
    assert codes(world, set_id) == {"no_sign_off"}
    sign_off(world, "dispatch")
    assert codes(world, set_id) == set()


def test_overdue_is_found_at_the_due_moment_and_gone_with_the_visit(
    world: World, signed: None
) -> None:
    set_id = world.set("A")
    look(START + DAY - timedelta(seconds=1))
    assert codes(world, set_id) == set()
    look(START + DAY)
    assert codes(world, set_id) == {"overdue"}
    with team_scope(world.team):
        assert Finding.objects.get(code="overdue").rule.code == "holding-each-day"
    world.check(world.student, set_id, START + DAY + HOUR)
    assert codes(world, set_id) == set()


def test_a_buried_set_is_found_until_it_is_seen_in_order(world: World, signed: None) -> None:
    set_id = world.set("A")
    world.check(world.student, set_id, START + HOUR, found="buried")
    assert codes(world, set_id) == {"buried"}
    world.check(world.student, set_id, START + 2 * HOUR)
    assert codes(world, set_id) == set()


def test_two_catches_of_no_target_are_found_and_in_time_forgotten(
    world: World, signed: None
) -> None:
    set_id = world.set("A", "body")
    caught(world, set_id, START + HOUR, "lynx")
    assert "non_target_again" not in codes(world, set_id)
    caught(world, set_id, START + 2 * HOUR, "lynx")
    assert found(world, set_id)["non_target_again"] == {"count": 2, "days": 30}
    look(START + 31 * DAY)
    assert "non_target_again" not in codes(world, set_id)


def test_a_set_that_is_pulled_loses_its_findings(world: World) -> None:
    set_id = world.set("A")
    assert codes(world, set_id)
    submit(world.student, "pull_set", {"set": set_id}, at=START + HOUR, now=START + HOUR)
    assert codes(world, set_id) == set()
