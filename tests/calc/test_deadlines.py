"""The edges of the forms, one story each. Dates and zones are real, the rules invented."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from trapline.calc import deadlines as calc

NEW_YORK = ZoneInfo("America/New_York")
APIA = ZoneInfo("Pacific/Apia")


def due(form: str, params: dict[str, Any], visit: datetime, zone: ZoneInfo) -> datetime | None:
    found = calc.due_at(calc.from_params(form, params), visit, zone)
    return None if found.at is None else found.at.astimezone(zone)


def at(text: str, zone: ZoneInfo = NEW_YORK, *, fold: int = 0) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=zone, fold=fold)


def test_a_visit_at_five_past_midnight_is_good_until_the_end_of_the_next_day() -> None:
    moment = due("each_day", {}, at("2025-01-10T00:05"), NEW_YORK)
    assert moment == at("2025-01-12T00:00")
    assert calc.in_time(at("2025-01-11T23:55"), moment)


def test_a_visit_a_microsecond_before_the_due_moment_is_in_time_and_one_at_it_is_late() -> None:
    moment = at("2025-01-12T00:00")
    assert calc.in_time(moment - timedelta(microseconds=1), moment)
    assert not calc.in_time(moment, moment)
    assert calc.in_time(moment, None)  # an exempt set is never late


def test_before_midnight_of_the_second_full_day_is_every_two_days() -> None:
    assert due("every_days", {"days": 2}, at("2025-01-10T15:00"), NEW_YORK) == at(
        "2025-01-13T00:00"
    )


def test_a_weekly_visit_on_a_monday_morning_is_good_for_thirteen_days_and_more() -> None:
    monday = at("2025-01-06T00:01")
    assert due("each_week", {}, monday, NEW_YORK) == at("2025-01-20T00:00")
    assert due("each_week", {}, at("2025-01-12T23:59"), NEW_YORK) == at("2025-01-20T00:00")


def test_a_week_may_begin_on_a_sunday() -> None:
    saturday, sunday = at("2025-01-11T12:00"), at("2025-01-12T12:00")
    assert due("each_week", {"first_weekday": 6}, saturday, NEW_YORK) == at("2025-01-19T00:00")
    assert due("each_week", {"first_weekday": 6}, sunday, NEW_YORK) == at("2025-01-26T00:00")


@pytest.mark.parametrize(
    ("visit", "hours_on_the_clock"), [("2025-03-08T12:00", 25), ("2025-11-01T12:00", 23)]
)
def test_a_clock_change_does_not_alter_elapsed_hours(visit: str, hours_on_the_clock: int) -> None:
    moment = due("within_hours", {"hours": 24}, at(visit), NEW_YORK)
    assert moment is not None
    assert moment.astimezone(UTC) - at(visit).astimezone(UTC) == timedelta(hours=24)
    assert moment.replace(tzinfo=None) - at(visit).replace(tzinfo=None) == timedelta(
        hours=hours_on_the_clock
    )


def test_a_day_with_a_clock_change_is_as_long_as_the_calendar_says() -> None:
    spring = due("each_day", {}, at("2025-03-08T00:00"), NEW_YORK)
    autumn = due("each_day", {}, at("2025-11-01T00:00"), NEW_YORK)
    assert spring is not None and autumn is not None
    assert spring.astimezone(UTC) - at("2025-03-08T00:00").astimezone(UTC) == timedelta(hours=47)
    assert autumn.astimezone(UTC) - at("2025-11-01T00:00").astimezone(UTC) == timedelta(hours=49)


def test_a_clock_time_that_is_skipped_is_the_instant_of_the_change() -> None:
    moment = due("each_day", {"by": "02:30"}, at("2025-03-08T12:00"), NEW_YORK)
    assert moment == at("2025-03-09T03:00")


def test_a_due_clock_time_that_comes_twice_is_the_first() -> None:
    moment = due("each_day", {"by": "01:30"}, at("2025-11-01T12:00"), NEW_YORK)
    assert moment is not None
    assert moment.astimezone(UTC) == at("2025-11-02T01:30", fold=0).astimezone(UTC)


def test_an_opening_clock_time_that_comes_twice_is_the_second() -> None:
    form = calc.from_params("each_day", {"between": {"from": "01:30", "to": "18:00"}})
    first, second = at("2025-11-02T01:30", fold=0), at("2025-11-02T01:30", fold=1)
    assert not calc.visit_counts(form, first, NEW_YORK)
    assert calc.visit_counts(form, second, NEW_YORK)
    assert not calc.visit_counts(form, at("2025-11-02T18:00"), NEW_YORK)


def test_a_window_wholly_inside_a_skipped_hour_is_empty_and_does_not_run_overnight() -> None:
    form = calc.from_params("each_day", {"between": {"from": "02:10", "to": "02:50"}})
    assert not calc.visit_counts(form, at("2025-03-09T03:00"), NEW_YORK)
    assert not calc.visit_counts(form, at("2025-03-09T12:00"), NEW_YORK)
    assert calc.visit_counts(form, at("2025-03-10T02:10"), NEW_YORK)


def test_forbidden_hours_in_a_doubled_hour_run_from_the_first_to_the_second() -> None:
    form = calc.from_params("each_day", {"no_tending": {"from": "01:10", "to": "01:50"}})
    for fold, minute, forbidden in [(0, 5, 0), (0, 10, 1), (0, 55, 1), (1, 5, 1), (1, 50, 0)]:
        moment = at(f"2025-11-02T01:{minute:02}", fold=fold)
        assert calc.tending_forbidden(form, moment, NEW_YORK) is bool(forbidden)


def test_where_midnight_is_skipped_the_day_ends_at_the_change() -> None:
    sao_paulo = ZoneInfo("America/Sao_Paulo")
    moment = due("each_day", {}, at("2017-10-13T12:00", sao_paulo), sao_paulo)
    assert moment == at("2017-10-15T01:00", sao_paulo)


def test_where_midnight_comes_twice_the_day_ends_only_when_the_date_has_changed() -> None:
    sao_paulo = ZoneInfo("America/Sao_Paulo")
    moment = due("each_day", {}, at("2018-02-16T12:00", sao_paulo), sao_paulo)
    assert moment is not None
    assert moment.astimezone(UTC) == datetime(2018, 2, 18, 3, tzinfo=UTC)
    eve = moment - timedelta(microseconds=1)
    assert eve.astimezone(sao_paulo).date() == date(2018, 2, 17)


@pytest.mark.parametrize(
    ("days", "expected"),
    # 30 December 2011 never was in Samoa: both dates end where the 31st begins.
    [(1, "2011-12-31T00:00"), (2, "2012-01-01T00:00")],
)
def test_where_a_whole_date_is_skipped_it_ends_where_the_one_before_does(
    days: int, expected: str
) -> None:
    assert due("every_days", {"days": days}, at("2011-12-29T12:00", APIA), APIA) == at(
        expected, APIA
    )


def test_a_clock_time_on_a_skipped_date_is_the_instant_of_the_change() -> None:
    assert due("each_day", {"by": "10:00"}, at("2011-12-29T12:00", APIA), APIA) == at(
        "2011-12-31T00:00", APIA
    )


def test_forbidden_hours_run_on_over_a_skipped_date() -> None:
    form = calc.from_params("each_day", {"no_tending": {"from": "22:00", "to": "05:00"}})
    assert calc.tending_forbidden(form, at("2011-12-29T23:00", APIA), APIA)
    assert calc.tending_forbidden(form, at("2011-12-31T04:59", APIA), APIA)
    assert not calc.tending_forbidden(form, at("2011-12-31T05:00", APIA), APIA)


def test_a_skipped_date_has_no_window_of_its_own() -> None:
    # The stated clock times alone would make this an overnight window on that date.
    window = {"from": {"sun": "sunrise", "otherwise": "20:00"}, "to": "12:00"}
    form = calc.from_params("each_day", {"between": window})
    place = -13.8, -171.8
    assert not calc.visit_counts(form, at("2011-12-31T02:00", APIA), APIA, *place)
    assert calc.visit_counts(form, at("2011-12-31T11:00", APIA), APIA, *place)


def test_a_due_moment_in_forbidden_hours_comes_before_they_begin() -> None:
    params = {"hours": 36, "no_tending": {"from": "22:00", "to": "05:00"}}
    form = calc.from_params("within_hours", params)
    found = calc.due_at(form, at("2025-01-10T12:00"), NEW_YORK)
    assert found.at == at("2025-01-11T22:00") and found.moved_before_no_tending
    found = calc.due_at(form, at("2025-01-10T08:00"), NEW_YORK)
    assert found.at == at("2025-01-11T20:00") and not found.moved_before_no_tending


def test_a_due_moment_where_forbidden_hours_end_is_moved_and_one_where_they_begin_is_not() -> None:
    params = {"hours": 24, "no_tending": {"from": "22:00", "to": "05:00"}}
    form = calc.from_params("within_hours", params)
    end = calc.due_at(form, at("2025-01-10T05:00"), NEW_YORK)
    begin = calc.due_at(form, at("2025-01-10T22:00"), NEW_YORK)
    assert end.at == at("2025-01-10T22:00") and end.moved_before_no_tending
    assert begin.at == at("2025-01-11T22:00") and not begin.moved_before_no_tending


def test_a_placing_counts_whether_or_not_it_is_inside_the_window() -> None:
    form = calc.from_params("each_day", {"between": {"from": "05:00", "to": "22:00"}})
    night = at("2025-01-10T23:00")
    assert not calc.visit_counts(form, night, NEW_YORK)
    assert calc.visit_counts(form, night, NEW_YORK, placing=True)
    both = calc.visits_count(form, [calc.to_us(night)] * 2, NEW_YORK, placing=[False, True])
    assert both.tolist() == [False, True]


def test_what_a_person_has_to_keep_is_the_close_of_the_last_window_before_the_due_moment() -> None:
    form = calc.from_params("each_day", {"between": {"from": "05:00", "to": "21:30"}})
    moments = [at("2025-01-12T00:00"), at("2025-01-12T12:00")]
    until = calc.counts_until(form, [calc.to_us(one) for one in moments], NEW_YORK)
    assert [calc.to_datetime(one) for one in until] == [
        at("2025-01-11T21:30"),
        at("2025-01-12T12:00"),
    ]
    free = calc.from_params("each_day", {})
    assert calc.counts_until(free, [calc.NEVER_US], NEW_YORK).tolist() == [calc.NEVER_US]


TABLE = {
    "rows": [{"from_c": 6, "to_c": 30, "hours": 4}, {"from_c": -9, "to_c": 5, "hours": 2}],
    "nothing_below_c": -10,
    "nothing_above_c": 31,
}


def by_temperature(*readings: tuple[int, float]) -> tuple[int, bool]:
    """Minutes from the visit to the due moment, readings given in minutes after it."""
    visit = at("2025-01-10T12:00")
    form = calc.from_params("by_temperature", TABLE)
    temperatures = [(visit + timedelta(minutes=m), temp) for m, temp in readings]
    found = calc.due_at(form, visit, NEW_YORK, temperatures=temperatures)
    assert found.at is not None
    return int((found.at - visit).total_seconds() // 60), found.nothing_may_be_set


def test_the_strictest_reading_since_the_last_visit_rules() -> None:
    assert by_temperature((10, 20.0)) == (240, False)
    assert by_temperature((10, 20.0), (30, 2.0), (50, 20.0)) == (120, False)
    assert by_temperature((-1, 2.0), (0, 20.0)) == (240, False)  # the first was before it


def test_without_a_reading_or_in_a_gap_of_the_table_the_strictest_row_rules() -> None:
    assert by_temperature() == (120, False)
    assert by_temperature((10, 5.5)) == (120, False)
    assert by_temperature((10, 31.0)) == (120, False)


def test_at_a_temperature_at_which_nothing_may_be_set_the_visit_is_due_at_the_reading() -> None:
    assert by_temperature((10, 20.0), (60, -10.5)) == (60, True)
    assert by_temperature((10, 20.0), (60, 31.5)) == (60, True)
    assert by_temperature((200, -10.5)) == (120, True)


def monitored(**signals: int) -> int:
    """Hours from the visit to the due moment; status at least every 24 h, visit within 12."""
    visit = at("2025-01-10T12:00")
    form = calc.from_params("monitored", {"status_hours": 24, "visit_hours": 12})
    sent: dict[str, Any] = {name: visit + timedelta(hours=hours) for name, hours in signals.items()}
    found = calc.due_at(form, visit, NEW_YORK, **sent)
    assert found.at is not None
    return int((found.at - visit).total_seconds() // 3600)


def test_a_remote_signal_puts_the_visit_off_until_it_falls_silent() -> None:
    assert monitored(last_status=2) == 2 + 24 + 12
    assert monitored(last_status=50) == 50 + 24 + 12


def test_a_closure_or_a_lost_contact_calls_for_a_visit() -> None:
    assert monitored(last_status=30, closed=20) == 20 + 12
    assert monitored(last_status=30, contact_lost=10, closed=20) == 10 + 12
    assert monitored(last_status=2, closed=0) == 12


def test_a_closure_before_the_last_visit_was_answered_by_it() -> None:
    assert monitored(last_status=2, closed=-1) == 2 + 24 + 12


def test_a_monitor_that_was_never_heard_does_not_stand_in_for_visits() -> None:
    assert monitored() == 12
    assert monitored(last_status=-30) == 12  # silent already when it was visited


def test_fractions_of_hours_are_never_rounded_up() -> None:
    visit = at("2025-01-10T12:00")
    found = calc.due_at(calc.from_params("within_hours", {"hours": 1 / 3}), visit, NEW_YORK)
    assert found.at == visit + timedelta(minutes=20)
    third = calc.from_params("within_hours", {"hours": 0.1 / 3})
    moment = calc.due_at(third, visit, NEW_YORK).at
    assert moment is not None and moment - visit <= timedelta(hours=0.1) / 3


def test_a_clock_gone_wrong_is_refused_and_not_computed_with() -> None:
    form = calc.from_params("each_day", {})
    for year in (1899, 2201):
        with pytest.raises(ValueError, match="at_us"):
            calc.due_at(form, datetime(year, 6, 1, tzinfo=UTC), NEW_YORK)
    with pytest.raises(ValueError, match="at_us"):
        calc.due_many(form, np.array([1.5e15]), NEW_YORK)
    with pytest.raises(ValueError, match="zone"):
        calc.due_at(form, datetime(2025, 1, 1), NEW_YORK)  # noqa: DTZ001


def test_no_sets_have_no_due_moments() -> None:
    form = calc.from_params("each_day", {"between": {"from": "05:00", "to": "22:00"}})
    assert calc.due_many(form, [], NEW_YORK).shape == (0,)
    assert calc.visits_count(form, [], NEW_YORK).shape == (0,)
