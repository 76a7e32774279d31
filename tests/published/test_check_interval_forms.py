"""Check intervals of published regulations, each as an example of a FORM.

None of this is a statement of current law: rules change, and local codes and the
licensing authority decide. Each case names the text that its form was read in; the
visits and the due moments are worked out here by hand from the words of the rule.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from trapline.calc.deadlines import Candidate, due_at, from_params, strictest, visit_counts
from trapline.calc.deadlines import tending_forbidden as is_forbidden

EASTERN = ZoneInfo("America/New_York")
CENTRAL = ZoneInfo("America/Chicago")
MOUNTAIN = ZoneInfo("America/Denver")
PACIFIC = ZoneInfo("America/Los_Angeles")
ALBERTA = ZoneInfo("America/Edmonton")
SASKATCHEWAN = ZoneInfo("America/Regina")


def due(
    form: str, params: dict[str, Any], visit: str, zone: ZoneInfo, **given: Any
) -> datetime | None:
    found = due_at(from_params(form, params), local(visit, zone), zone, **given)
    return None if found.at is None else found.at.astimezone(zone)


def local(text: str, zone: ZoneInfo) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=zone)


@pytest.mark.parametrize(
    ("hours", "zone", "expected"),
    [
        (24, EASTERN, "2024-12-11T09:30"),  # Rhode Island, R.I. Gen. Laws 20-16-9
        (36, EASTERN, "2024-12-11T21:30"),  # Pennsylvania, 34 Pa.C.S. 2361(a)
        (48, PACIFIC, "2024-12-12T09:30"),  # Oregon, ORS 498.172
        (96, PACIFIC, "2024-12-14T09:30"),  # Nevada, NRS 503.570, devices that do not kill
        (72, PACIFIC, "2024-12-13T09:30"),  # Washington, WAC 232-12-141, killing devices
        (24, PACIFIC, "2024-12-11T09:30"),  # the same, restraining devices
        (72, MOUNTAIN, "2024-12-13T09:30"),  # Idaho Code 36-1106 (bill), wolves
        (24, EASTERN, "2024-12-11T09:30"),  # Ohio snaring guide, snares
        (48, ALBERTA, "2024-12-12T09:30"),  # Alberta trapping guide (a copy), non-killing
    ],
)
def test_rolling_hours_run_from_the_last_visit(hours: int, zone: ZoneInfo, expected: str) -> None:
    moment = due("within_hours", {"hours": hours}, "2024-12-10T09:30", zone)
    assert moment == local(expected, zone)


@pytest.mark.parametrize(
    "zone",
    [
        EASTERN,  # New Hampshire, RSA 210:13: each calendar day
        ZoneInfo("America/Phoenix"),  # Arizona, R12-4-307(G)(1): inspect daily
        CENTRAL,  # Louisiana, La. RS 56:260: run daily; Kansas (KDWP): once every day
    ],
)
def test_a_daily_rule_is_kept_by_five_past_midnight_and_five_to_midnight(zone: ZoneInfo) -> None:
    moment = due("each_day", {}, "2024-12-10T00:05", zone)
    assert moment == local("2024-12-12T00:00", zone)
    assert local("2024-12-11T23:55", zone) < moment
    assert local("2024-12-11T23:55", zone) - local("2024-12-10T00:05", zone) == timedelta(
        hours=47, minutes=50
    )


def test_beaver_sets_through_the_ice_stand_apart_from_the_daily_rule() -> None:
    # New Hampshire, RSA 210:13: once every 72 hours instead.
    visit = local("2025-01-10T09:00", EASTERN)
    daily = due_at(from_params("each_day", {}), visit, EASTERN).at
    ice = due_at(from_params("within_hours", {"hours": 72}), visit, EASTERN).at
    on_land = [Candidate(1, 0, daily)]
    under_ice = [*on_land, Candidate(2, 0, ice, instead_of=1)]
    assert strictest(on_land).due == local("2025-01-12T00:00", EASTERN)
    assert strictest(under_ice).due == local("2025-01-13T09:00", EASTERN)


def test_a_daily_window_tied_to_the_sun() -> None:
    # South Carolina, S.C. Code 50-11-2440: once a day between two hours before sunrise
    # and two hours after sunset. Columbia, 34.00 N 81.03 W, 15 January 2025: sunrise
    # 07:29, sunset 17:38 EST (worked out with ephem, not printed).
    window = {
        "from": {"sun": "sunrise", "offset_min": -120, "otherwise": "06:00"},
        "to": {"sun": "sunset", "offset_min": 120, "otherwise": "18:00"},
    }
    form = from_params("each_day", {"between": window})
    for clock, counts in [("05:25", False), ("05:35", True), ("19:33", True), ("19:43", False)]:
        at = local(f"2025-01-15T{clock}", EASTERN)
        assert visit_counts(form, at, EASTERN, 34.0, -81.03) is counts


@pytest.mark.parametrize(("days", "expected"), [(2, "2024-12-13T00:00"), (3, "2024-12-14T00:00")])
def test_before_midnight_of_the_second_or_third_full_day(days: int, expected: str) -> None:
    # South Dakota, ARSD 41:08:02:03 (2019): second full day east of the Missouri River,
    # third west of it, after the device is set or last checked.
    assert due("every_days", {"days": days}, "2024-12-10T15:00", CENTRAL) == local(
        expected, CENTRAL
    )


def test_once_every_third_calendar_day_and_no_tending_at_night() -> None:
    # Minnesota, Minn. Stat. 97B.931 (2009): body-gripping once every third calendar day;
    # no tending between 22:00 and 05:00. The last moment comes before the night's hours.
    params = {"days": 3, "no_tending": {"from": "22:00", "to": "05:00"}}
    assert due("every_days", params, "2024-12-10T15:00", CENTRAL) == local(
        "2024-12-13T22:00", CENTRAL
    )
    form = from_params("every_days", params)
    for clock, forbidden in [("21:59", 0), ("22:00", 1), ("04:59", 1), ("05:00", 0)]:
        assert is_forbidden(form, local(f"2024-12-12T{clock}", CENTRAL), CENTRAL) is bool(forbidden)


@pytest.mark.parametrize(
    ("days", "expected"),
    [
        # Maine, 12 MRSA 12255 (PL 2003 c.655)
        (1, "2024-12-12T00:00"),  # organised townships: one calendar day
        (3, "2024-12-14T00:00"),  # the same, killer type: three
        (5, "2024-12-16T00:00"),  # unorganised, killer or drowning sets: five
        (3, "2024-12-14T00:00"),  # Vermont, 10 App. V.S.A. 44: underwater colony traps
    ],
)
def test_calendar_days_by_zone_and_device(days: int, expected: str) -> None:
    assert due("every_days", {"days": days}, "2024-12-10T15:00", EASTERN) == local(
        expected, EASTERN
    )


def test_a_form_that_exempts_says_so_and_is_never_due() -> None:
    # Maine, as above: under-ice drowning sets for beaver and muskrat; Alberta trapping
    # guide (a copy): snares; Nevada, NRS 503.570: devices designed to kill at once.
    found = due_at(from_params("none", {}), local("2024-12-10T15:00", EASTERN), EASTERN)
    assert found.exempt and found.at is None


@pytest.mark.parametrize(("hours", "expected"), [(24, "2024-12-11"), (48, "2024-12-12")])
def test_hours_by_management_unit_device_and_water(hours: int, expected: str) -> None:
    # New York, 6 NYCRR 6.3(a)(3): 24 h in the south and for restraining devices, 48 h in
    # listed units, elsewhere for water sets and body-gripping sets on land.
    # Missouri, 3 CSR 10-8.510(2): 48 h for underwater killing sets.
    moment = due("within_hours", {"hours": hours}, "2024-12-10T15:00", EASTERN)
    assert moment == local(f"{expected}T15:00", EASTERN)


def test_a_remote_signal_stands_in_for_visits() -> None:
    # Virginia, 4VAC15-40-195: a status at least every 24 h, a visit within 24 h of a
    # closure or of lost contact. (Its alarm within one hour is the device's affair.)
    params = {"status_hours": 24, "visit_hours": 24}
    at = [local(f"2024-12-{day}T12:00", EASTERN) for day in (10, 15, 16)]
    given = {"last_status": at[1]}
    assert due("monitored", params, "2024-12-10T12:00", EASTERN, **given) == local(
        "2024-12-17T12:00", EASTERN
    )
    closed = {"last_status": at[2], "closed": at[1]}
    assert due("monitored", params, "2024-12-10T12:00", EASTERN, **closed) == local(
        "2024-12-16T12:00", EASTERN
    )


def test_once_in_each_week_from_monday_to_sunday_may_be_thirteen_days_apart() -> None:
    # Wyoming, Game and Fish Commission ch. 4: a week is Monday to Sunday.
    moment = due("each_week", {"first_weekday": 0}, "2024-12-09T08:00", MOUNTAIN)
    assert moment == local("2024-12-23T00:00", MOUNTAIN)
    assert local("2024-12-22T08:00", MOUNTAIN) - local("2024-12-09T08:00", MOUNTAIN) == timedelta(
        days=13
    )


def test_an_interval_by_licence_class_is_one_rule_for_each_class() -> None:
    # Alberta trapping guide (a copy): 48 h, 24 h under the resident licence.
    visit = local("2024-12-10T15:00", ALBERTA)
    moments = [
        due_at(from_params("within_hours", {"hours": hours}), visit, ALBERTA).at
        for hours in (48, 24)
    ]
    registered, resident = [Candidate(1, 0, moments[0])], [Candidate(2, 0, moments[1])]
    assert strictest(registered).due == visit + timedelta(hours=48)
    assert strictest(resident).due == visit + timedelta(hours=24)


@pytest.mark.parametrize(("temp_c", "hours"), [(20.0, 4), (6.0, 4), (30.0, 4), (5.0, 2), (-9.0, 2)])
def test_hours_by_temperature(temp_c: float, hours: int) -> None:
    # Kindersley, Saskatchewan, live trap bylaw s. 18: 4 h at 6 to 30 C, 2 h at -9 to 5 C,
    # not to be set above 31 or below -10 C.
    params = {
        "rows": [
            {"from_c": 6, "to_c": 30, "hours": 4},
            {"from_c": -9, "to_c": 5, "hours": 2},
        ],
        "nothing_below_c": -10,
        "nothing_above_c": 31,
    }
    visit = local("2024-06-10T08:00", SASKATCHEWAN)
    read = visit + timedelta(minutes=10)
    form = from_params("by_temperature", params)
    found = due_at(form, visit, SASKATCHEWAN, temperatures=[(read, temp_c)])
    assert found.at == visit + timedelta(hours=hours)
    for forbidden in (31.5, -10.5):
        found = due_at(form, visit, SASKATCHEWAN, temperatures=[(read, forbidden)])
        assert found.nothing_may_be_set and found.at == read


def test_a_wildlife_area_that_is_stricter_than_the_state_binds() -> None:
    # New York, 6 NYCRR 54.4: 24 h in named areas, where the unit has 48 h (6.3(a)(3)).
    visit = local("2024-12-10T15:00", EASTERN)
    state, area = (
        due_at(from_params("within_hours", {"hours": hours}), visit, EASTERN).at
        for hours in (48, 24)
    )
    binding = strictest([Candidate(1, 0, state), Candidate(2, 1, area)])
    assert (binding.rule, binding.due) == (2, visit + timedelta(hours=24))


def test_by_noon_and_the_officers_extension() -> None:
    # Forms that practitioners name; no stored text printed one (common practice, no source).
    moment = due("each_day", {"by": "12:00"}, "2024-12-10T15:00", EASTERN)
    assert moment == local("2024-12-11T12:00", EASTERN)
    until = local("2024-12-12T12:00", EASTERN)
    assert strictest([Candidate(1, 0, moment)], [(0, until)]).due == until
