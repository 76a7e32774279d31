"""What if: the answer is what is found once it has really happened, and nothing is written."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest
from django.db import transaction

from tests.findings.scene import found, look, read, rule, sign_off, take
from tests.world import RULEBOOK, START, World
from trapline.binding.matters import draft_rules
from trapline.duties.models import Duty
from trapline.findings.limits import CODE as LIMIT
from trapline.findings.looking import CODES
from trapline.findings.models import Finding
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.land.models import Permission
from trapline.plans.mending import MENDS, Deed, How
from trapline.plans.what_if import Answer, Supposed, tonight, what_if
from trapline.record.desk import submit
from trapline.rulebook.schema import Document, read_document

pytestmark = pytest.mark.django_db
SEASON = {"opens_on": "11-01", "closes_on": "03-01"}
RING = [[-128.5, 61.8], [-128.3, 61.8], [-128.3, 62.0], [-128.5, 62.0], [-128.5, 61.8]]


def season(species: str) -> dict[str, Any]:
    return rule(species, "season", "each_year", SEASON, species=[species])


def draft(*rules: dict[str, Any]) -> Document:
    book = [*RULEBOOK["rules"], season("marten"), *rules]
    return read_document({**RULEBOOK, "rules": book, "in_force_from": START.isoformat()})


@pytest.fixture
def sets(world: World) -> dict[str, UUID]:
    """A loop, a set on the ground, one under water: nothing is wrong with any."""
    for skill in ("snare", "body_gripping"):
        sign_off(world, skill)
    take(world, season("marten"), season("lynx"))
    body = {
        "permission": new_id(), "parcel": {"type": "Polygon", "coordinates": [RING]},
        "name": "Parcel", "holder": "Someone", "valid_from": "2025-07-01",
        "valid_until": "2026-06-30",
    }  # fmt: skip
    submit(world.manager, "keep_permission", body, at=START, now=START)
    read(world, "snow_depth_m", 0.3, START)
    read(world, "water_level_m", 1.0, START)
    return {
        "loop": world.set("A", loop_diameter_m=0.1, loop_height_m=0.25, snow_depth_m=0.3),
        "ground": world.set("B", "body", snow_depth_m=0.3),
        "under": world.set("C", "body", placement="submersion", water_depth_m=0.3),
    }


def told(answer: Answer) -> dict[str, Any]:
    return {row.place.label: (set(row.hows), row.deeds, row.amount_m) for row in answer.sets}


def said(answer: Answer) -> dict[UUID, set[str]]:
    return {row.place.set: {one.one.code for one in row.turns} for row in answer.sets}


def test_each_thing_supposed_turns_its_sets_and_names_the_least_that_mends_it(
    world: World, sets: dict[str, UUID]
) -> None:
    with team_scope(world.team):
        before = list(Finding.objects.order_by("id").values())

        def suppose(**other: Any) -> Answer:
            return what_if(world.team, Supposed(START, **other))

        assert told(suppose()) == {}
        assert told(suppose(snow_m=0.3)) == {
            "A": ({How.BURIED}, (Deed.REHANG,), pytest.approx(0.3)),
            "B": ({How.BURIED}, (Deed.DIG_OUT,), None),
        }
        assert told(suppose(water_m=-0.4)) == {"C": ({How.DRY}, (Deed.DEEPEN,), pytest.approx(0.4))}
        closed = suppose(closes=frozenset({"marten"}))
        assert told(closed) == dict.fromkeys("ABC", ({How.UNLAWFUL}, (Deed.PULL,), None))
        (work,) = closed.work
        assert (work.deeds, work.walk) == (((Deed.PULL, 3),), True)
        assert told(suppose(closes=frozenset({"lynx"}))) == {}

        away = suppose(away=frozenset({world.student.member}))
        assert told(away) == dict.fromkeys("ABC", ({How.UNCOVERED}, (Deed.HAND_OVER,), None))
        assert not away.work[0].walk
        (cover,) = away.covers
        assert (cover.member, set(cover.sets)) == (world.instructor.member, set(sets.values()))
        everybody = [world.student, world.instructor, world.manager]
        alone = suppose(away=frozenset(one.member for one in everybody))
        assert (alone.covers, set(alone.alone)) == ((), set(sets.values()))
        both = suppose(snow_m=0.3, closes=frozenset({"marten"}))
        assert told(both)["A"] == ({How.BURIED, How.UNLAWFUL}, (Deed.PULL,), pytest.approx(0.3))

        lapsed = suppose(lapsed=frozenset(Permission.objects.values_list("id", flat=True)))
        assert told(lapsed) == dict.fromkeys("ABC", ({How.UNLAWFUL}, (Deed.RENEW,), None))
        assert list(Finding.objects.order_by("id").values()) == before


def test_a_cover_is_signed_off_and_the_leave_names_them(
    world: World, sets: dict[str, UUID]
) -> None:
    only = {
        "permission": new_id(), "parcel": {"type": "Polygon", "coordinates": [RING]},
        "name": "Narrow", "holder": "Someone", "valid_from": "2025-07-01",
        "valid_until": "2026-06-30", "members": [world.manager.member, world.student.member],
    }  # fmt: skip
    with team_scope(world.team):
        wide = Permission.objects.values_list("id", flat=True)[0]
    submit(world.manager, "keep_permission", only, at=START, now=START)
    with team_scope(world.team):
        gone: dict[str, Any] = {
            "away": frozenset({world.student.member}),
            "lapsed": frozenset({wide}),
        }
        (cover,) = what_if(world.team, Supposed(START, **gone)).covers
    assert cover.member == world.manager.member


class _Undone(Exception):
    """Ends what really happened."""


@contextmanager
def really() -> Iterator[None]:
    try:
        with transaction.atomic():
            yield
            raise _Undone
    except _Undone:
        pass


def test_what_is_answered_is_what_is_found_once_it_happens(
    world: World, sets: dict[str, UUID]
) -> None:
    hour = START + timedelta(hours=1)
    tags = draft(rule("tag", "tag", "required", {}), season("lynx"),
                 rule("soon", "check", "within_hours", {"hours": 12}))  # fmt: skip
    with team_scope(world.team):
        answers = [
            what_if(world.team, Supposed(hour, **other))
            for other in ({"snow_m": 0.3}, {"water_m": -0.4}, {"draft": tags})
        ]

    def happened() -> dict[UUID, set[str]]:
        return {
            key: codes
            for key in sets.values()
            if (codes := {code.split(":")[0] for code in found(world, key)})
        }

    for answer, (what, value) in zip(
        answers, (("snow_depth_m", 0.6), ("water_level_m", 0.6)), strict=False
    ):
        with really():
            read(world, what, value, hour)
            look(hour)
            assert happened() == said(answer) != {}
    with really():
        submit(world.manager, "take_rulebook", {"document": tags.plain()}, at=hour, now=hour)
        look(hour)
        assert happened() == said(answers[2]) == {key: {"no_tag"} for key in sets.values()}
        with team_scope(world.team):
            due = dict(Duty.objects.filter(kind="check").values_list("set_id", "due_at"))
        assert {one.place.set: one.due_at for one in answers[2].sooner} == due
        assert set(due.values()) == {START + timedelta(hours=12)}


def test_a_draft_brings_its_own_moment_and_a_set_left_past_it_is_overdue(
    world: World, sets: dict[str, UUID]
) -> None:
    later = draft(rule("soon", "check", "within_hours", {"hours": 12}))
    later = later.model_copy(update={"in_force_from": START + timedelta(hours=13)})
    with team_scope(world.team):
        answer = what_if(world.team, Supposed(START, draft=later))
    assert answer.moment == START + timedelta(hours=13)
    assert said(answer) == {key: {"overdue"} for key in sets.values()}
    assert {row.deeds for row in answer.sets} == {(Deed.CHECK,)}
    assert answer.rules is not None and answer.rules.codes == draft_rules(later).codes


def test_a_drafts_limit_turns_the_sets_that_would_take_one_more(
    world: World, sets: dict[str, UUID]
) -> None:
    animal = {
        "animal": new_id(), "species": world.species["marten"], "alive_on_arrival": False,
        "fate": "found_dead",
    }  # fmt: skip
    hour = START + timedelta(hours=1)
    world.check(world.student, sets["ground"], hour, found="animal", catches=[animal])
    both = [world.species["marten"], world.species["lynx"]]
    world.set("D", "body", placement="elevated", targets=both, at=hour)
    world.set("E", "body", placement="elevated", targets=[world.species["lynx"]], at=hour)
    bag = rule("bag", "limit", "per_person", {"count": 1}, species=["marten"])
    more = (season("lynx"), bag)
    with team_scope(world.team):
        answer = what_if(world.team, Supposed(hour, draft=draft(*more)))
        looser = draft(season("lynx"), {**bag, "params": {"count": 2}})
    assert told(answer) == {
        **dict.fromkeys("ABC", ({How.UNLAWFUL}, (Deed.PULL,), None)),
        "D": ({How.UNLAWFUL}, (Deed.RETARGET,), None),
    }
    (one,) = {(turn.one.discriminator, turn.one.numbers["count"], turn.one.numbers["limit"])
              for row in answer.sets for turn in row.turns}  # fmt: skip
    assert one == ("bag", 1, 1)
    take(world, *more, at=hour)
    with team_scope(world.team):
        answer = what_if(world.team, Supposed(hour, draft=looser))
    assert (answer.sets, answer.mended) == ((), 1)


def test_tonight_ends_with_the_local_date() -> None:
    assert tonight(START, "America/Whitehorse") == START + timedelta(hours=13)


def test_every_finding_has_a_deed_that_mends_it() -> None:
    assert set(MENDS) == {*CODES, LIMIT}
