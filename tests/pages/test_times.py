"""How moments and spans are written: on the line's clock, never rounded in anybody's favour."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from tests.pages.conftest import Clock
from trapline.pages.fields import MomentField
from trapline.pages.templatetags.lineward import (
    due,
    left,
    moment,
    offset_words,
    sex_and_age,
    span_words,
)

pytestmark = pytest.mark.usefixtures("at")
NOON = datetime(2026, 1, 5, 19, 0, tzinfo=UTC)


def test_a_moment_is_written_on_the_clock_of_its_zone_with_the_zones_name(at: Clock) -> None:
    assert moment(NOON, "America/Whitehorse") == (
        '<time datetime="2026-01-05T12:00:00-07:00">Mon 5 Jan 12:00</time> '
        '<abbr title="America/Whitehorse">MST</abbr>'
    )


def test_a_zone_without_letters_is_written_as_its_distance_from_utc(at: Clock) -> None:
    assert "UTC+0545" in moment(NOON, "Asia/Kathmandu")


def test_another_year_is_named(at: Clock) -> None:
    assert "Sun 5 Jan 2025" in moment(NOON - timedelta(days=365), "UTC")


def test_a_due_moment_at_midnight_is_the_end_of_the_day_before(at: Clock) -> None:
    midnight = datetime(2026, 1, 7, 7, 0, tzinfo=UTC)
    assert ">end of Tue 6 Jan<" in due(midnight, "America/Whitehorse")
    assert ">before Tue 6 Jan 23:59<" in due(midnight - timedelta(minutes=1), "America/Whitehorse")


def test_without_a_rule_no_time_is_made_up(at: Clock) -> None:
    assert due(None, "UTC") == "no rule sets a time"


def test_what_is_left_is_cut_not_rounded_up() -> None:
    assert left(NOON + timedelta(minutes=59, seconds=59), NOON) == "in 59 min"
    assert span_words(timedelta(hours=47, minutes=59)) == "1 d 23 h"


def test_at_the_due_moment_itself_it_is_late() -> None:
    assert left(NOON, NOON) == "0 min late"
    assert left(NOON, NOON + timedelta(hours=3)) == "3 h 0 min late"


def typed(text: str, zone: str) -> datetime | None:
    field = MomentField(required=False)
    field.zone = ZoneInfo(zone)
    return field.clean(text)  # type: ignore[no-any-return]


def test_a_typed_time_is_on_the_lines_clock() -> None:
    assert typed("2026-01-05T12:00", "America/Whitehorse") == NOON


def test_a_typed_time_that_came_twice_is_the_later_one() -> None:
    # Central European time went back from 03:00 to 02:00 on 25 October 2026 (tz database).
    twice = typed("2026-10-25T02:30", "Europe/Berlin")
    assert twice == datetime(2026, 10, 25, 1, 30, tzinfo=UTC)


def test_a_typed_time_that_was_skipped_is_refused_with_a_sentence() -> None:
    from django.core.exceptions import ValidationError

    with pytest.raises(ValidationError, match="The clock went forward over this time"):
        typed("2026-03-29T02:30", "Europe/Berlin")


@pytest.mark.parametrize(
    ("seconds", "said"),
    [
        (-4 * 3600, "told 4 h 0 min before"),
        (0, "told when it falls due"),
        (129600, "told 1 d 12 h after"),
    ],
)
def test_when_somebody_is_told_is_said_in_words(seconds: int, said: str) -> None:
    assert offset_words(seconds) == said


@pytest.mark.parametrize(
    ("sex", "age", "words"),
    [
        ("male", "adult", "Male, adult"),
        ("female", "unknown", "Female, age not noted"),
        ("unknown", "juvenile", "Juvenile, sex not noted"),
        ("unknown", "unknown", "sex and age not noted"),
    ],
)
def test_what_nobody_noted_of_an_animal_is_said_once(sex: str, age: str, words: str) -> None:
    assert sex_and_age(sex, age) == words
