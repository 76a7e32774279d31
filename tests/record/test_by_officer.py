"""What an officer says is kept with name, number and time, and binds from then on."""

from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

import pytest

from tests.record.acting import do, refusal
from tests.world import START, World
from trapline.duties.models import Duty, Kind, Transition
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.lines.models import Grant
from trapline.people.models import Team
from trapline.rulebook.models import Authority, Closure
from trapline.rulebook.selectors import closures, closures_in_force
from trapline.watch.redue import redue_team

HOUR = timedelta(hours=1)


def authority(world: World, code: str = "territory") -> UUID:
    with team_scope(world.team):
        found: UUID = Authority.objects.get(code=code).id
    return found


def extension(world: World, *sets: UUID, until: datetime = START + 60 * HOUR) -> dict[str, Any]:
    return {
        "sets": list(sets), "authority": authority(world), "officer": "Ranger Ek",
        "number": "17/26", "until": until,
    }  # fmt: skip


def due(world: World, set_id: UUID) -> float | None:
    """Hours from the start to the set's open check."""
    with team_scope(world.team):
        at = Duty.objects.get(set_id=set_id, kind=Kind.CHECK, state__in=("open", "overdue")).due_at
    return None if at is None else (at - START) / HOUR


def pulls(world: World) -> dict[str, float]:
    """Open duties to pull: hours from the start by the set's label."""
    with team_scope(world.team):
        found = Duty.objects.filter(kind=Kind.PULL, state__in=("open", "overdue"))
        return {one.set.label: (one.due_at - START) / HOUR for one in found.select_related("set")}


def stamp(world: World) -> int:
    return Team.objects.get(id=world.team).rule_stamp


def test_an_extension_moves_its_own_authoritys_moment_and_no_others(world: World) -> None:
    made, other = world.set("S1"), world.set("S2")
    assert (due(world, made), due(world, other)) == (24, 24)
    before = stamp(world)
    do(world.instructor, "grant_extension", extension(world, made), at=START + HOUR)
    # The territory's 24 hours become 60; the team's own 48 bind now.
    assert (due(world, made), due(world, other)) == (48, 24)
    assert stamp(world) == before + 1
    with team_scope(world.team):
        kept = Grant.objects.get()
    assert (kept.officer, kept.number, kept.until) == ("Ranger Ek", "17/26", START + 60 * HOUR)


def test_an_extension_is_there_when_everything_is_reckoned_again(world: World) -> None:
    made = world.set("S1")
    do(world.manager, "grant_extension", extension(world, made, until=START + 30 * HOUR))
    assert redue_team(world.team, START + HOUR) == 0  # the act did it at once
    with team_scope(world.team):
        Duty.objects.filter(set_id=made).update(stamp=0)
    assert redue_team(world.team, START + HOUR) == 1
    assert due(world, made) == 30


def test_a_later_visit_that_earns_a_later_moment_spends_the_extension(world: World) -> None:
    made = world.set("S1")
    do(world.manager, "grant_extension", extension(world, made, until=START + 30 * HOUR))
    world.check(world.student, made, START + 20 * HOUR)
    assert due(world, made) == 44


@pytest.mark.parametrize(
    ("spoiled", "expected"),
    [
        ({"until": START}, ("until", "grant_until_when")),
        ({"until": START + 400 * 24 * HOUR}, ("until", "grant_until_when")),
        ({"sets": []}, ("body.sets", "shape_too_short")),
        ({"sets": [new_id()]}, ("sets.0", "waits_for")),
        ({"authority": new_id()}, ("authority", "waits_for")),
        ({"officer": " "}, ("body.officer", "shape_string_too_short")),
    ],
)
def test_an_extension_needs_its_sets_its_officer_and_an_end(
    world: World, spoiled: dict[str, Any], expected: tuple[str, str]
) -> None:
    made = world.set("S1")
    assert refusal(world.manager, "grant_extension", extension(world, made) | spoiled) == expected
    do(world.manager, "grant_extension", extension(world, made))


def test_only_who_leads_notes_what_an_officer_said(world: World) -> None:
    made = world.set("S1", responsible=world.student)
    given = refusal(world.student, "grant_extension", extension(world, made))
    closed = refusal(world.student, "close_by_notice", notice(world))
    assert given[1] == closed[1] == "only_leaders"


def notice(world: World, **said: Any) -> dict[str, Any]:
    return {
        "closure": new_id(), "authority": authority(world), "species": world.species["marten"],
        "from_at": START + 10 * HOUR, "grace_hours": 14, "reference": "Notice 4", **said,
    }  # fmt: skip


def test_a_closure_opens_duties_to_pull_the_sets_it_hits(world: World) -> None:
    world.set("In")
    world.set("Out", place=(-120.0, 61.9))  # in no zone
    world.set("Other", targets=[world.species["lynx"]])
    pulled = world.set("Pulled")
    do(world.student, "pull_set", {"set": pulled}, at=START + HOUR)
    before = stamp(world)
    do(world.instructor, "close_by_notice", notice(world, zone="A"), at=START + 2 * HOUR)
    assert pulls(world) == {"In": 24}
    assert stamp(world) == before + 1


def test_a_closure_without_a_zone_is_a_closure_everywhere(world: World) -> None:
    world.set("In")
    world.set("Out", place=(-120.0, 61.9))
    do(world.manager, "close_by_notice", notice(world, grace_hours=0))
    assert pulls(world) == {"In": 10, "Out": 10}


def test_each_closure_asks_for_itself_and_a_pull_answers_all(world: World) -> None:
    made = world.set("S1")
    first = notice(world)
    do(world.manager, "close_by_notice", first)
    do(world.manager, "close_by_notice", notice(world, grace_hours=1))
    with team_scope(world.team):
        asked = Duty.objects.filter(kind=Kind.PULL).order_by("due_at")
        assert [(one.due_at - START) / HOUR for one in asked] == [11, 24]
    end = {"closure": first["closure"], "from_at": START + 30 * HOUR, "reference": "Notice 5"}
    do(world.manager, "reopen_by_notice", end)
    assert pulls(world) == {"S1": 11}
    do(world.student, "pull_set", {"set": made}, at=START + HOUR)
    assert pulls(world) == {}
    with team_scope(world.team):
        told = Transition.objects.filter(duty__kind=Kind.PULL).values_list("was", "now")
        assert sorted(told) == [("open", "cancelled"), ("open", "done")]


def test_a_closure_is_in_force_from_its_moment_until_another_notice(world: World) -> None:
    body = notice(world)
    world.set("S1")
    do(world.manager, "close_by_notice", body)
    end = {"closure": body["closure"], "from_at": START + 30 * HOUR, "reference": "Notice 5"}
    assert refusal(world.student, "reopen_by_notice", end)[1] == "only_leaders"
    early = end | {"from_at": START}
    assert refusal(world.manager, "reopen_by_notice", early) == ("from_at", "reopened_when")
    do(world.manager, "reopen_by_notice", end)
    assert pulls(world) == {}
    again = refusal(world.manager, "reopen_by_notice", end)
    assert again == ("closure", "reopened_before")
    just = timedelta(microseconds=1)
    with team_scope(world.team):
        for hours, closed in ((10, True), (30, False)):
            at = START + hours * HOUR
            assert closures_in_force(at - just).exists() is not closed
            assert closures_in_force(at).exists() is closed
        (kept,) = closures(world.team)
    assert kept.opened_at == START + 30 * HOUR  # type: ignore[attr-defined]
    assert kept.opened_by == "Notice 5"  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("spoiled", "expected"),
    [
        ({"zone": "Z"}, ("zone", "no_such_zone")),
        ({"from_at": START + 400 * 24 * HOUR}, ("from_at", "notice_when")),
        ({"species": new_id()}, ("species", "waits_for")),
        ({"authority": new_id()}, ("authority", "waits_for")),
        ({"grace_hours": -1}, ("body.grace_hours", "shape_greater_than_equal")),
    ],
)
def test_a_notice_names_what_it_closes_where_and_when(
    world: World, spoiled: dict[str, Any], expected: tuple[str, str]
) -> None:
    assert refusal(world.manager, "close_by_notice", notice(world, **spoiled)) == expected
    do(world.manager, "close_by_notice", notice(world))
    with team_scope(world.team):
        assert Closure.objects.count() == 1
