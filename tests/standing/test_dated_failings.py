"""A set found buried or frozen in: since when, by the line's readings of snow and ice."""

from datetime import datetime, timedelta
from uuid import UUID

import pytest

from tests.world import START, World
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.record.desk import submit
from trapline.reports.grouped import grouped
from trapline.reports.period import Period
from trapline.standing.fold import fold, tally
from trapline.standing.models import Interval

HOUR, DAY = timedelta(hours=1), timedelta(days=1)


def read(world: World, what: str, value: float, at: datetime, now: datetime | None = None) -> None:
    body = {"reading": new_id(), "line": world.line, "what": what, "value": value}
    submit(world.student, "take_reading", body, at=at, now=now or at)


def served(world: World, set_id: UUID) -> list[float | None]:
    """Nights in service of the set's intervals, as folded act by act and from scratch."""
    with team_scope(world.team):
        ordered = Interval.objects.filter(set_id=set_id).order_by("till_at")
        told = list(ordered.values_list("served", flat=True))
        fold(world.team, [set_id])
        assert list(ordered.values_list("served", flat=True)) == told
    return told


def two_looks(world: World, set_id: UUID) -> None:
    """In order after a day, buried after three."""
    world.check(world.student, set_id, START + DAY)
    world.check(world.student, set_id, START + 3 * DAY, found="buried")


def test_a_fall_between_two_readings_dates_what_it_buried(world: World) -> None:
    set_id = world.set("B", "body")
    read(world, "snow_depth_m", 0.20, START)
    read(world, "snow_depth_m", 0.25, START + 36 * HOUR)
    read(world, "snow_depth_m", 0.35, START + 48 * HOUR)  # 15 cm since it was last seen
    two_looks(world, set_id)
    # Seen at 24 h, not yet buried at 36 h, buried by 48 h: taken to be at 42 h.
    assert served(world, set_id) == [None, pytest.approx(18 / 24)]
    with team_scope(world.team):
        for counted in (False, True):
            if counted:
                tally(world.team, [set_id])
            (group,) = grouped(world.team, "set", Period(first=START.date()))
            assert (group.figure.dated, group.figure.undated, group.figure.bound) == (1, 0, None)
            assert group.figure.rate.effective_nights == pytest.approx(1 + 18 / 24)


@pytest.mark.parametrize(
    ("fall_m", "at"), [(0.14, START + 40 * HOUR), (0.4, START + 49 * HOUR)], ids=["thin", "old"]
)
def test_too_thin_a_fall_or_readings_over_a_day_apart_date_nothing(
    world: World, fall_m: float, at: datetime
) -> None:
    set_id = world.set("B", "body")
    read(world, "snow_depth_m", 0.20, START)
    read(world, "snow_depth_m", 0.20 + fall_m, at)
    two_looks(world, set_id)
    assert served(world, set_id) == [None, None]
    with team_scope(world.team):
        (group,) = grouped(world.team, "set", Period())
        assert (group.figure.dated, group.figure.undated) == (0, 1)


def test_a_reading_that_comes_in_late_dates_it_still(world: World) -> None:
    set_id = world.set("B", "body")
    read(world, "snow_depth_m", 0.20, START)
    two_looks(world, set_id)
    assert served(world, set_id) == [None, None]
    read(world, "snow_depth_m", 0.60, START + 30 * HOUR, now=START + 4 * DAY)
    assert served(world, set_id) == [None, pytest.approx(3 / 24)]


def test_the_first_ice_dates_what_froze_in_and_not_what_stands_on_land(world: World) -> None:
    wet, dry = world.set("W", "body", placement="submersion"), world.set("D", "body")
    read(world, "ice_m", 0.0, START + 26 * HOUR)
    read(world, "ice_m", 0.02, START + 46 * HOUR)
    two_looks(world, wet)
    two_looks(world, dry)
    assert served(world, wet) == [None, pytest.approx(12 / 24)]
    assert served(world, dry) == [None, None]
