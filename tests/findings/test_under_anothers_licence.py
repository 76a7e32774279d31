"""Under another's licence: who may tend, kill, carry and tag, and with what paper. Invented."""

from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest

from tests.findings.scene import codes, look, rule, sign_off, take
from tests.record.acting import do, refusal
from tests.world import START, World
from trapline.binding.world import World as Then
from trapline.findings.tending import who_may_tend
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.lines.models import Check
from trapline.people.models import Papers
from trapline.plans.what_if import Supposed, what_if
from trapline.record.desk import submit

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)
MAY = {"tend": True, "carry": True, "paper": "A signed letter"}


@pytest.fixture
def stood(world: World) -> UUID:
    """A set of the instructor's licence that the student looks after; nothing is wrong with it."""
    sign_off(world, "body_gripping")
    sign_off(world, "dispatch")
    return world.set("A", "body")


def paper(world: World, **more: Any) -> dict[str, Any]:
    return {
        "paper": new_id(), "licence": world.licence, "agent": world.student.member,
        "may": ["tend"], "reference": "Letter 4", "valid_from": "2026-01-05",
        "valid_until": "2026-01-05", **more,
    }  # fmt: skip


def test_a_set_is_left_to_its_licences_holder_or_to_somebody_with_the_paper(
    world: World, stood: UUID
) -> None:
    assert codes(world, stood) == set()
    take(world, rule("agents", "agent", "may", MAY))
    assert codes(world, stood) == {"agent_without_paper"}
    submit(world.instructor, "give_paper", (said := paper(world)), at=START, now=START)
    assert codes(world, stood) == set()
    look(START + 13 * HOUR - timedelta(seconds=1))  # the 5th still, in the line's zone
    assert codes(world, stood) == set()
    look(START + 13 * HOUR)
    assert codes(world, stood) == {"agent_without_paper"}
    later = START + 14 * HOUR
    submit(world.manager, "give_paper", {**said, "valid_until": "2026-03-01"}, at=later, now=later)
    assert codes(world, stood) == set()
    take(world, rule("agents", "agent", "may", {"carry": True}), at=later)
    assert codes(world, stood) == {"agent_not_allowed"}
    body = {"set": stood, "to": world.instructor.member}
    submit(world.manager, "hand_over", body, at=later, now=later)
    assert codes(world, stood) == set()


def test_a_paper_for_another_deed_or_another_licence_is_none_to_tend(
    world: World, stood: UUID
) -> None:
    take(world, rule("agents", "agent", "may", MAY))
    submit(world.instructor, "give_paper", paper(world, may=["carry"]), at=START, now=START)
    licence = {
        "licence": new_id(), "holder": world.manager.member, "number": "T-2",
        "authority": "territory", "valid_from": "2025-07-01", "valid_until": "2026-06-30",
    }  # fmt: skip
    submit(world.manager, "give_licence", licence, at=START, now=START)
    other = paper(world, licence=licence["licence"])
    submit(world.instructor, "give_paper", other, at=START, now=START)
    assert codes(world, stood) == {"agent_without_paper"}
    with team_scope(world.team):
        found = who_may_tend(world.team, stood, Then(START))
    assert not found.anybody and found.members == {world.instructor.member}


def test_what_was_done_without_rule_or_paper_is_kept_and_flagged(world: World, stood: UUID) -> None:
    def flags(by: Any, hours: int, **said: Any) -> set[str]:
        check = world.check(by, stood, START + hours * HOUR, **said)
        with team_scope(world.team):
            return {flag for flag in Check.objects.get(id=check).flags if "agent" in flag}

    def caught(**more: Any) -> dict[str, Any]:
        animal = {"animal": new_id(), "species": world.species["marten"],
                  "alive_on_arrival": True, "fate": "dispatched", **more}  # fmt: skip
        return {"found": "animal", "catches": [animal]}

    assert flags(world.student, 1, **caught()) == set()
    take(world, rule("agents", "agent", "may", MAY), at=START + HOUR)
    submit(world.instructor, "give_paper", paper(world), at=START, now=START + HOUR)
    assert flags(world.student, 2) == set()
    assert flags(world.student, 3, **caught()) == {"agent_may_not_kill", "agent_may_not_carry"}
    by_holder = caught(dispatched_by=world.instructor.member)
    assert flags(world.student, 4, **by_holder) == {"agent_may_not_carry"}
    assert flags(world.instructor, 5, **caught()) == set()
    assert flags(world.manager, 6) == {"agent_may_not_tend"}
    assert flags(world.manager, 7, found="not_reached", done=[], reason="storm") == set()


def test_a_paper_that_does_not_fit_is_refused_at_its_field(world: World) -> None:
    wrong: list[tuple[dict[str, Any], str, str]] = [
        ({"agent": world.instructor.member}, "agent", "agent_is_holder"),
        ({"agent": new_id()}, "agent", "waits_for"),
        ({"licence": new_id()}, "licence", "waits_for"),
        ({"valid_until": "2026-01-04"}, "valid_until", "dates_out_of_order"),
        ({"may": []}, "body.may", "shape_too_short"),
        ({"may": ["eat"]}, "body.may.0", "shape_literal_error"),
        ({"reference": " "}, "body.reference", "shape_string_too_short"),
    ]
    for more, field, code in wrong:
        assert refusal(world.instructor, "give_paper", paper(world, **more)) == (field, code)
    assert refusal(world.student, "give_paper", paper(world)) == ("paper", "only_leaders")
    do(world.instructor, "give_paper", paper(world, may=["tag", "tend"]))
    with team_scope(world.team):
        assert Papers.objects.get().may == ["tend", "tag"]


def test_a_cover_may_tend_under_the_licence_too(world: World, stood: UUID) -> None:
    take(world, rule("agents", "agent", "may", MAY))
    until = {"valid_until": "2026-03-01"}
    submit(world.instructor, "give_paper", paper(world, **until), at=START, now=START)
    gone = frozenset({world.student.member})
    with team_scope(world.team):
        (cover,) = what_if(world.team, Supposed(START, away=gone)).covers
        assert cover.member == world.instructor.member
        both = gone | {world.instructor.member}
        answer = what_if(world.team, Supposed(START, away=both))
        assert (answer.covers, answer.alone) == ((), (stood,))
    named = paper(world, agent=world.manager.member, **until)
    submit(world.instructor, "give_paper", named, at=START, now=START)
    with team_scope(world.team):
        (cover,) = what_if(world.team, Supposed(START, away=both)).covers
    assert cover.member == world.manager.member
