"""Forms of check intervals as public regulations write them, in the format, and when they fall due.

Each is a worked example of a form: that the format can say it and that the sums then give what the
words say. None is claimed to be current law. Due moments are worked out by hand from the words.
"""

from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from tests.rulebook.documents import small
from trapline.calc.deadlines import due_at, from_params, tending_forbidden
from trapline.rulebook.matters import Rule
from trapline.rulebook.meaning import params_of
from trapline.rulebook.schema import read_document

UTC_7 = ZoneInfo("Etc/GMT+7")  # no clock changes: the words alone decide


def written(form: str, params: dict[str, Any] | None = None, **more: Any) -> Rule:
    rule = {"code": "r", "authority": "office", "matter": "check", "form": form, **more}
    if params is not None:
        rule["params"] = params
    return read_document(small(rules=[rule])).rules[0]


def due(rule: Rule, visit: str) -> str | None:
    """Local due moment after a local visit."""
    found = due_at(
        from_params(rule.form, params_of(rule)),
        datetime.fromisoformat(visit).replace(tzinfo=UTC_7),
        UTC_7,
    ).at
    return found.astimezone(UTC_7).strftime("%Y-%m-%dT%H:%M") if found else None


@pytest.mark.parametrize(
    ("form", "params", "visit", "expected"),
    [
        # R.I. Gen. Laws 20-16-9: every 24 hours.
        ("within_hours", {"hours": 24}, "2026-01-05T09:12", "2026-01-06T09:12"),
        # N.H. RSA 210:13: at least once each calendar day; through the ice once in 72 hours.
        ("each_day", None, "2026-01-05T00:05", "2026-01-07T00:00"),
        ("within_hours", {"hours": 72}, "2026-01-05T09:12", "2026-01-08T09:12"),
        # 34 Pa.C.S. 2361(a): once every 36 hours.
        ("within_hours", {"hours": 36}, "2026-01-05T20:00", "2026-01-07T08:00"),
        # ARSD 41:08:02:03 (2019): before midnight of the second full calendar day.
        ("every_days", {"days": 2}, "2026-01-05T09:12", "2026-01-08T00:00"),
        # Minn. Stat. 97B.931 (2009): at least once every third calendar day.
        ("every_days", {"days": 3}, "2026-01-05T23:59", "2026-01-09T00:00"),
        # Wyo. Ch. 4: once in each week, Monday to Sunday; 2026-01-05 is a Monday: 13 days on.
        ("each_week", {"first_weekday": 0}, "2026-01-05T00:00", "2026-01-19T00:00"),
        # 4VAC15-40-195: a status at least every 24 hours, a visit within 24 h of lost contact.
        # No status was ever heard: contact counts as lost from the placing on.
        (
            "monitored",
            {"status_hours": 24, "visit_hours": 24},
            "2026-01-05T09:00",
            "2026-01-06T09:00",
        ),
        # Town bylaw of Kindersley, s.18: hours by air temperature; without a reading the strictest.
        (
            "by_temperature",
            {
                "rows": [
                    {"from_c": 6, "to_c": 30, "hours": 4},
                    {"from_c": -9, "to_c": 5, "hours": 2},
                ],
                "nothing_below_c": -10,
                "nothing_above_c": 31,
            },
            "2026-01-05T09:00",
            "2026-01-05T11:00",
        ),
        # 12 MRSA 12255: under-ice drowning sets for beaver and muskrat are exempt.
        ("none", None, "2026-01-05T09:00", None),
    ],
)
def test_a_form_of_public_law_can_be_written_down_and_falls_due_as_its_words_say(
    form: str, params: dict[str, Any] | None, visit: str, expected: str | None
) -> None:
    assert due(written(form, params), visit) == expected


def test_hours_in_which_tending_is_forbidden_can_be_written_down() -> None:
    # Minn. Stat. 97B.931 (2009): no tending between 10 p.m. and 5 a.m.
    rule = written("every_days", {"days": 3, "no_tending": {"from": "22:00", "to": "05:00"}})
    form = from_params(rule.form, params_of(rule))
    told = [
        tending_forbidden(form, datetime(2026, 1, 5, hour, minute, tzinfo=UTC_7), UTC_7)
        for hour, minute in ((4, 59), (5, 0), (21, 59), (22, 0))
    ]
    assert told == [True, False, False, True]


def test_a_window_tied_to_the_sun_can_be_written_down() -> None:
    # S.C. Code 50-11-2440: once a day between two hours before sunrise and two hours after sunset.
    window = {
        "from": {"sun": "sunrise", "offset_min": -120, "otherwise": "06:00"},
        "to": {"sun": "sunset", "offset_min": 120, "otherwise": "18:00"},
    }
    form = from_params("each_day", params_of(written("each_day", {"between": window})))
    assert form.needs_place
    assert form.between is not None
    assert [time.offset_min for time in form.between] == [-120, 120]


def test_a_season_that_opens_and_closes_at_noon_can_be_written_down() -> None:
    # Common practice, no source: seasons that open and close at noon.
    season = small()["rules"][2]
    (found,) = read_document(small(rules=[season])).rules
    assert found.matter == "season"
    assert params_of(found) == {
        "opens_on": "11-01",
        "opens_by": "12:00",
        "closes_on": "02-15",
        "closes_by": "12:00",
    }
