"""The yield table, against a season reckoned by hand, a printed table and a textbook index."""

from datetime import date, datetime, timedelta
from math import log
from uuid import UUID

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.reports.season import Caught, animal, local, prepare, season
from tests.world import START, World
from trapline.ground.scope import team_scope
from trapline.reports.period import Period
from trapline.reports.yields import MemberYield, yields
from trapline.watch.sweep import sweep

ALWAYS = Period()
NINTH = local(9, 10)  # after the season's last look, before the next duty falls due


@pytest.fixture
def caught(world: World) -> Caught:
    return season(world)


def table(
    world: World, period: Period, moment: datetime, member: UUID | None = None
) -> list[MemberYield]:
    with team_scope(world.team):
        return yields(world.team, period, moment, member=member)


def row_of(name: str, rows: list[MemberYield]) -> MemberYield:
    return next(row for row in rows if row.name == name)


def test_the_table_is_by_name_and_has_everybody_whatever_they_caught(
    world: World, caught: Caught
) -> None:
    assert [row.name for row in table(world, ALWAYS, NINTH)] == ["Ivar", "Maud", "Signe"]


def test_checks_in_time_are_of_all_duties_that_are_done_or_overdue(
    world: World, caught: Caught
) -> None:
    # Snare, 24 h: 6 Jan in time, 7 Jan in time, 8 Jan 20:00 where 08:00 was due: late.
    # Body-gripping, the team's 48 h: 8 Jan 10:00 where 7 Jan 11:00 was due: late; then in time.
    signe = row_of("Signe", table(world, ALWAYS, NINTH))
    assert (signe.checks_in_time, signe.checks_asked) == (3, 5)


@pytest.mark.parametrize("swept", [False, True])
def test_a_duty_past_its_time_is_asked_whether_or_not_the_sweep_has_marked_it(
    world: World, caught: Caught, swept: bool
) -> None:
    moment = local(10, 13)  # the snare was due on the 9th at 20:00, the other on the 10th at 12:00
    if swept:
        sweep(moment)
    signe = row_of("Signe", table(world, ALWAYS, moment))
    assert (signe.checks_in_time, signe.checks_asked) == (3, 7)


def test_a_check_made_for_another_counts_as_in_time_for_who_is_responsible(
    world: World, caught: Caught
) -> None:
    # The instructor's look on 8 January 12:00 was at the student's set.
    ivar = row_of("Ivar", table(world, ALWAYS, NINTH))
    assert (ivar.checks_in_time, ivar.checks_asked, ivar.looks) == (0, 0, 1)


def test_trap_nights_are_elapsed_hours_and_go_to_who_looked(world: World, caught: Caught) -> None:
    rows = table(world, ALWAYS, NINTH)
    signe, ivar = row_of("Signe", rows), row_of("Ivar", rows)
    assert signe.nights == pytest.approx((22 + 23 + 36 + 71) / 24)
    assert ivar.nights == pytest.approx(2 / 24)
    assert (signe.looks, signe.targets, signe.non_targets) == (4, 1, 1)


def test_hours_possibly_held_are_of_the_looks_that_found_an_animal(
    world: World, caught: Caught
) -> None:
    signe = row_of("Signe", table(world, ALWAYS, NINTH))
    assert (signe.hours_held_median, signe.hours_held_most) == (29.0, 36.0)  # of 22 h and 36 h


def test_three_of_four_looks_disturbed_give_no_figure(world: World, caught: Caught) -> None:
    signe = row_of("Signe", table(world, ALWAYS, NINTH))
    assert signe.rate is not None
    assert (signe.rate.method, signe.rate.rate, signe.rate.upper) == ("too_disturbed", None, None)


def test_a_look_without_a_catch_gives_the_upper_limit_that_garwood_printed(
    world: World, caught: Caught
) -> None:
    # Garwood 1936, Biometrika 28:437-442: no event, two-sided 95 %: at most 3.6889.
    rate = row_of("Ivar", table(world, ALWAYS, NINTH)).rate
    assert rate is not None
    assert (rate.rate, rate.lower) == (0, 0)
    assert rate.upper == pytest.approx(3.6889 / (2 / 24), rel=1e-4)


def test_who_looked_at_nothing_has_a_row_and_no_rate(world: World, caught: Caught) -> None:
    maud = row_of("Maud", table(world, ALWAYS, NINTH))
    assert (maud.looks, maud.nights, maud.rate, maud.hours_held_median) == (0, 0, None, None)


def test_equal_nights_give_caughleys_index_with_garwoods_limits(world: World) -> None:
    # Caughley 1977, Analysis of Vertebrate Populations: -100 ln(1 - a/E) per 100 trap-nights.
    # Garwood 1936: one event, two-sided 95 %: 0.0253 to 5.5716.
    prepare(world)
    set_id = world.set("B1", "body", placement="elevated")
    for day in range(1, 13):
        at = START + timedelta(days=day)
        said = {"found": "animal", "catches": [animal(world)]} if day == 5 else {}
        world.check(world.student, set_id, at, **said)
    rate = row_of("Signe", table(world, ALWAYS, START + timedelta(days=13))).rate
    assert rate is not None
    index = -log(1 - 1 / 12)
    assert rate.rate == pytest.approx(index, rel=1e-9)
    assert rate.effective_nights == pytest.approx(1 / index)
    assert rate.lower == pytest.approx(0.0253 * index, rel=2e-3)
    assert rate.upper == pytest.approx(5.5716 * index, rel=1e-5)


def test_nights_buried_without_a_date_are_kept_out_of_the_rate(world: World) -> None:
    prepare(world)
    set_id = world.set("B1", "body", placement="land")
    world.check(world.student, set_id, START + timedelta(days=1))
    world.check(world.student, set_id, START + timedelta(days=3), found="buried", done=["remade"])
    row = row_of("Signe", table(world, ALWAYS, START + timedelta(days=3, hours=1)))
    assert row.nights == pytest.approx(3)
    assert row.rate is not None
    assert row.rate.effective_nights == pytest.approx(1)


@pytest.mark.parametrize(
    ("first", "last", "in_time", "asked", "looks"),
    [
        (date(2026, 1, 6), date(2026, 1, 6), 1, 1, 1),
        (date(2026, 1, 8), None, 1, 3, 2),
        (None, date(2026, 1, 7), 2, 2, 2),
        (date(2026, 1, 10), None, 0, 0, 0),
    ],
)
def test_the_period_holds_whole_local_days(
    world: World, caught: Caught,
    first: date | None, last: date | None, in_time: int, asked: int, looks: int,
) -> None:  # fmt: skip
    # 8 January 20:00 there is 9 January 03:00 UTC.
    row = row_of("Signe", table(world, Period(first, last), NINTH))
    assert (row.checks_in_time, row.checks_asked, row.looks) == (in_time, asked, looks)


def test_one_member_gets_their_own_row_and_it_is_the_same(world: World, caught: Caught) -> None:
    all_rows = table(world, ALWAYS, NINTH)
    own = table(world, ALWAYS, NINTH, member=world.student.member)
    assert own == [row_of("Signe", all_rows)]


def test_another_teams_looks_are_in_no_row(
    world: World, other_world: World, caught: Caught
) -> None:
    assert {row.looks for row in table(other_world, ALWAYS, NINTH)} == {0}
    assert table(other_world, ALWAYS, NINTH, member=world.student.member) == []


def test_the_table_takes_three_statements_once_its_figures_are_reckoned(
    world: World, caught: Caught
) -> None:
    table(world, ALWAYS, NINTH)
    with CaptureQueriesContext(connection) as seen:
        table(world, ALWAYS, NINTH)
    assert len(seen) == 3  # looks, the lines' zones, the members with their duties


def test_a_period_begins_and_ends_at_midnight_there() -> None:
    begins, ends = Period(date(2026, 1, 6), date(2026, 1, 6)).instants("America/Whitehorse")
    assert begins == datetime.fromisoformat("2026-01-06T00:00:00-07:00")
    assert ends == datetime.fromisoformat("2026-01-07T00:00:00-07:00")
