"""What parts have served: reckoned by SQL, against a replay of the facts in plain Python."""

from collections.abc import Iterator
from datetime import datetime
from typing import Any
from uuid import UUID

import pytest
from django.db import transaction
from hypothesis import Phase, given, settings

from tests.record.acting import do
from tests.record.phone import AT, HOUR
from tests.standing.gear_season import MOMENT, GearSeason, all_parts, gear_season, stories
from tests.standing.test_fold_from_scratch import (
    BY_DRAWING,
    arrangements,
    ended,
    looks,
    standing,
)
from tests.world import START, World
from trapline.gear.models import PartFact
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.lines.models import Catch, Check
from trapline.standing.fold import fold, fold_parts
from trapline.standing.models import PartStay
from trapline.standing.wear import PartWear, part_wear

WET = ("water_edge", "submersion", "under_ice")
QUICK = (Phase.explicit, Phase.generate)  # a season is long to shrink
Span = tuple[datetime, datetime]


def facts_of(part: UUID) -> list[PartFact]:
    """What happened to a part and still holds, in order."""
    corrected = Check.objects.exclude(corrects=None).values_list("corrects", flat=True)
    undone = set(Check.objects.filter(id__in=corrected).values_list("act_id", flat=True))
    rows = [row for row in PartFact.objects.filter(part_id=part) if row.act_id not in undone]
    return sorted(rows, key=lambda row: (row.at, row.id))


def stood(set_id: UUID) -> Iterator[tuple[Span, UUID, str]]:
    """From when till when which device stood in the set, and in what placement."""
    rows, end = arrangements(set_id), ended(set_id) or MOMENT
    device, placement = None, ""
    nexts = [*(row.at for row in rows[1:]), end]
    for row, after in zip(rows, nexts, strict=True):
        device = row.device_id or device
        placement = row.placement or placement
        assert device is not None
        yield (row.at, min(after, end)), device, placement


def replayed(season: GearSeason, part: UUID) -> dict[str, Any]:
    """A part's wear from the facts alone."""
    facts = facts_of(part)
    nexts = [*(fact.at for fact in facts[1:]), MOMENT]
    stays = [
        (fact, after)
        for number, (fact, after) in enumerate(zip(facts, nexts, strict=True))
        if number == len(facts) - 1 or fact.at < after
    ]
    ends = [
        fact.at
        for fact, _ in stays
        if fact.state == "broken" or (fact.state == "retired" and fact.why == "worn")
    ]
    failed = min(ends, default=None)
    found: dict[str, Any] = {
        "nights": 0.0, "wet_nights": 0.0, "springings": 0, "catches": 0, "wet_catches": 0,
        "failed_at": failed, "state": facts[-1].state,
    }  # fmt: skip
    for fact, till in stays:
        if fact.state != "built_in":
            continue
        last = min(till, MOMENT, failed or MOMENT)
        for set_id in season.sets:
            for (begins, ends_at), device, placement in stood(set_id):
                span = max(begins, fact.at), min(ends_at, last)
                if device == fact.device_id and span[0] < span[1]:
                    _serve(found, set_id, span, wet=placement in WET)
    return found


def _serve(found: dict[str, Any], set_id: UUID, span: Span, *, wet: bool) -> None:
    nights = (span[1] - span[0]).total_seconds() / 86400
    found["nights"] += nights
    found["wet_nights"] += nights if wet else 0
    for look in looks(set_id):
        if span[0] < look.at <= span[1]:
            animals = Catch.objects.filter(check_made_id=look.id).count()
            found["springings"] += look.found in ("sprung_empty", "animal")
            found["catches"] += animals
            found["wet_catches"] += animals if wet else 0


def rounded(value: Any) -> Any:
    return round(value, 9) if isinstance(value, float) else value


def reckoned(world: World) -> dict[UUID, PartWear]:
    return {one.part: one for one in part_wear(world.team, MOMENT)}


def holds(world: World, story: list[tuple[Any, ...]]) -> None:
    with transaction.atomic():
        season = gear_season(world, story)
        with team_scope(world.team):
            found = reckoned(world)
            assert set(found) == set(all_parts())
            for part, wear in found.items():
                want = replayed(season, part)
                assert {name: rounded(getattr(wear, name)) for name in want} == {
                    name: rounded(value) for name, value in want.items()
                }
            as_it_came = standing()
            fold(world.team, season.sets)
            fold_parts(world.team, all_parts())
            assert standing() == as_it_came
            assert reckoned(world) == found
        transaction.set_rollback(True)


@settings(max_examples=8, phases=QUICK, derandomize=True, **BY_DRAWING)  # type: ignore[arg-type]
@given(story=stories)
def test_wear_is_what_a_replay_of_the_facts_finds(
    world: World, story: list[tuple[Any, ...]]
) -> None:
    holds(world, story)


@pytest.mark.long
@settings(max_examples=200, phases=QUICK, **BY_DRAWING)  # type: ignore[arg-type]
@given(story=stories)
def test_the_same_over_200_random_seasons(world: World, story: list[tuple[Any, ...]]) -> None:
    holds(world, story)


def wear_of(world: World, role: str, at: datetime = MOMENT) -> list[PartWear]:
    with team_scope(world.team):
        return part_wear(world.team, at, [world.part_kinds[role]])


def animal(world: World, species: str = "marten") -> dict[str, Any]:
    return {
        "animal": new_id(), "species": world.species[species], "alive_on_arrival": False,
        "fate": "found_dead",
    }  # fmt: skip


def test_the_animal_that_spends_a_cable_was_caught_by_it(world: World) -> None:
    set_id = world.set("S1")
    world.check(world.student, set_id, AT, found="animal", catches=[animal(world)])
    (cable,) = wear_of(world, "cable")
    assert (cable.state, cable.catches, cable.springings) == ("spent", 1, 1)
    assert cable.nights == pytest.approx(20 / 24)
    assert not cable.failed


def test_a_trap_under_water_wears_in_the_wet(world: World) -> None:
    set_id = world.set("B1", "body", placement="submersion")
    world.check(world.student, set_id, AT, found="animal", catches=[animal(world)])
    (trigger,) = wear_of(world, "trigger", AT + 4 * HOUR)
    assert (trigger.wet_catches, trigger.wet_seasons, trigger.seasons) == (1, 1, 1)
    assert trigger.nights == trigger.wet_nights == pytest.approx(1)


def test_a_part_replaced_while_the_set_stands_serves_no_more_and_its_follower_does(
    world: World,
) -> None:
    world.set("B1", "body")
    (old,) = wear_of(world, "trigger")
    do(
        world.student,
        "replace_part",
        {
            "device": old.device, "out": old.part, "becomes": "broken",
            "part": {"kind": world.part_kinds["trigger"]},
        },
        at=START + 12 * HOUR,
    )  # fmt: skip
    by_state = {one.state: one for one in wear_of(world, "trigger", START + 36 * HOUR)}
    assert by_state["broken"].failed_at == START + 12 * HOUR
    assert by_state["broken"].nights == pytest.approx(0.5)
    assert by_state["built_in"].nights == pytest.approx(1)


def test_a_part_in_stock_has_served_nothing(world: World) -> None:
    do(
        world.manager,
        "stock_parts",
        {"kind": world.part_kinds["lock"], "parts": [{"mark": "L1"}, {}]},
    )
    assert [(one.nights, one.springings, one.state) for one in wear_of(world, "lock")] == [
        (0, 0, "stock"), (0, 0, "stock"),
    ]  # fmt: skip


def test_another_teams_parts_are_not_told(world: World, other_world: World) -> None:
    other_world.set("S1")
    world.set("S1")
    with team_scope(world.team):
        assert len(part_wear(world.team, MOMENT)) == 3
        assert part_wear(world.team, MOMENT, [other_world.part_kinds["cable"]]) == []


def test_the_replay_finds_out_a_stay_that_is_not_so(world: World) -> None:
    """The control: wear over stays that were not made from the facts is found out."""
    with transaction.atomic():
        season = gear_season(world, [("check", 0, 20, "animal")])
        with team_scope(world.team):
            cable = next(one for one in reckoned(world).values() if one.state == "spent")
            PartStay.objects.filter(part_id=cable.part, state="built_in").delete()
            assert reckoned(world)[cable.part].nights != replayed(season, cable.part)["nights"]
        transaction.set_rollback(True)
