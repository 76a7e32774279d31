"""However acts come in, what stands is what a fold from scratch makes, and what the facts say."""

from datetime import datetime
from itertools import pairwise
from typing import Any
from uuid import UUID

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings

from tests.standing.story import DEVICES, RECEIVED, Season, stories
from tests.world import START, World
from trapline.binding.bind import bind
from trapline.binding.world import World as Moment
from trapline.duties.models import Duty
from trapline.duties.refresh import instants
from trapline.gear.models import Part
from trapline.ground.scope import team_scope
from trapline.lines.models import Arrangement, Check, Ending
from trapline.standing.fold import fold, fold_parts, tally
from trapline.standing.models import Interval, PartStay, SetPeriod, SetState, Tally

TABLES = (SetState, SetPeriod, Interval, PartStay, Tally)
Rows = dict[str, list[dict[str, Any]]]


def standing() -> Rows:
    """Every row of what stands, as plain values."""
    return {
        model.__name__: [
            {name: str(value) for name, value in row.items()}
            for row in model.objects.order_by("id").values()
        ]
        for model in TABLES
    }


def from_scratch(world: World, season: Season) -> Rows:
    fold(world.team, season.sets)
    fold_parts(world.team, list(Part.objects.values_list("id", flat=True)))
    tally(world.team, season.sets)
    return standing()


def in_effect(set_id: UUID) -> dict[UUID, Check]:
    """The checks of a set that nothing corrects and that withdraw nothing: plain Python."""
    rows = {check.id: check for check in Check.objects.filter(set_id=set_id)}
    corrected = {check.corrects_id for check in rows.values()}
    return {
        key: check for key, check in rows.items() if key not in corrected and not check.withdraws
    }


def looks(set_id: UUID) -> list[Check]:
    counted = [check for check in in_effect(set_id).values() if check.counts]
    return sorted(counted, key=lambda check: (check.at, check.id))


def ended(set_id: UUID) -> datetime | None:
    """When the set ended, by the facts in effect."""
    checks = in_effect(set_id)
    ends = [
        end.at
        for end in Ending.objects.filter(set_id=set_id)
        if end.check_made_id is None or end.check_made_id in checks
    ]
    return min(ends, default=None)


def arrangements(set_id: UUID) -> list[Arrangement]:
    checks, end = in_effect(set_id), ended(set_id)
    rows = [
        row
        for row in Arrangement.objects.filter(set_id=set_id)
        if (row.check_made_id is None or row.check_made_id in checks)
        and (end is None or row.at < end)
    ]
    return sorted(rows, key=lambda row: (row.at, row.id))


CARRIED = ("placement", "device_id", "responsible_id", "loop_height_m", "loop_diameter_m")


def says_what_the_facts_say(set_id: UUID) -> None:
    """The state, the periods and the intervals against an oracle in plain Python."""
    state = SetState.objects.get(set_id=set_id)
    seen, end, arranged = looks(set_id), ended(set_id), arrangements(set_id)
    assert (state.active, state.ended_at) == (end is None, end)
    assert state.last_visit_at == max([START, *(look.at for look in seen)])
    assert state.last_check_at == (seen[-1].at if seen else None)
    assert state.last_found == (seen[-1].found if seen else "")
    for name in CARRIED:
        said = [getattr(row, name) for row in arranged if getattr(row, name) is not None]
        assert getattr(state, name) == (said[-1] if said else None), name
    made = Interval.objects.filter(set_id=set_id).order_by("till_at", "id")
    assert [(row.from_at, row.till_at, row.id) for row in made] == [
        (before, look.at, look.id)
        for before, look in zip([START, *(look.at for look in seen)], seen, strict=False)
    ]
    periods = [
        (row.during.lower, row.during.upper)
        for row in SetPeriod.objects.filter(set_id=set_id).order_by("during")
    ]
    edges = sorted({row.at for row in arranged})
    assert periods == list(pairwise([*edges, end]))


def duties_are_in_line(world: World, set_id: UUID) -> None:
    """An active set has one open check duty, as its rules give it; an ended set has none."""
    open_ = list(Duty.objects.filter(set_id=set_id, kind="check", state__in=("open", "overdue")))
    state = SetState.objects.get(set_id=set_id)
    if not state.active:
        assert open_ == []
        return
    bound = bind(world.team, [set_id], Moment(RECEIVED))
    assert [(one.basis_at, one.due_at, one.who_id) for one in open_] == [
        (state.last_visit_at, instants(bound.due_us)[0], state.responsible_id)
    ]


def tell(world: World, story: list[tuple[Any, ...]]) -> Season:
    season = Season(
        world,
        [world.set("S1"), world.set("S2", "body")],
        [world.device("snare", f"spare {number}") for number in range(DEVICES)],
    )
    season.play(story[: len(story) // 2])
    with team_scope(world.team):
        tally(world.team, season.sets)  # so that what comes after is counted onto what stands
    season.play(story[len(story) // 2 :])
    return season


def holds(world: World, story: list[tuple[Any, ...]]) -> None:
    with transaction.atomic():
        season = tell(world, story)
        with team_scope(world.team):
            tally(world.team, season.sets)
            as_it_came = standing()
            assert as_it_came == from_scratch(world, season)
            for set_id in season.sets:
                says_what_the_facts_say(set_id)
                duties_are_in_line(world, set_id)
        transaction.set_rollback(True)


BY_DRAWING = {
    "deadline": None,
    "suppress_health_check": [HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
    "database": None,
}


@settings(max_examples=15, derandomize=True, **BY_DRAWING)  # type: ignore[arg-type]
@given(story=stories)
def test_what_stands_is_what_a_fold_from_scratch_makes(
    world: World, story: list[tuple[Any, ...]]
) -> None:
    holds(world, story)


@pytest.mark.long
@settings(max_examples=1000, **BY_DRAWING)  # type: ignore[arg-type]
@given(story=stories)
def test_the_same_through_a_long_season_of_stories(
    world: World, story: list[tuple[Any, ...]]
) -> None:
    holds(world, story)


def test_of_two_looks_at_one_instant_the_one_made_later_is_the_last(world: World) -> None:
    holds(
        world,
        [("check", 1, 1, "in order"), ("check", 1, 1, "animal"), ("check", 1, 2, "not reached")],
    )


def test_the_stories_change_something(world: World) -> None:
    """The control: a state that is not refolded is found out."""
    with transaction.atomic():
        season = tell(world, [("check", 0, 20, "moved"), ("check", 1, 30, "animal")])
        assert season.applied == 2
        with team_scope(world.team):
            SetState.objects.filter(set_id=season.sets[0]).update(placement="land")
            assert standing() != from_scratch(world, season)
        transaction.set_rollback(True)
