"""Today: alarms first, then what is overdue, due today, later; the ribbon and its table."""

from datetime import UTC, datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

import ephem
import pytest
from django.test import Client

from tests.pages.conftest import Clock
from tests.pages.reading import statements, words
from tests.world import PLACE, RULEBOOK, START, TZ, World
from trapline.ground.ids import new_id
from trapline.journal.team_settings import NumberToCall, put_numbers_to_call
from trapline.record.desk import submit

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)

# Session, person, membership, team; lines, tally, duties.
BUDGET = 7


def wait(world: World, set_id: UUID, when: datetime, note: str = "") -> UUID:
    """An animal waits in a set."""
    waiting = new_id()
    body = {"waiting": waiting, "set": set_id, "species": world.species["lynx"], "note": note}
    submit(world.student, "animal_waiting", body, at=when, now=when)
    return waiting


def test_an_empty_team_is_told_what_to_do_first(instructor: Client, student: Client) -> None:
    assert "No set is in business. Place one" in words(instructor.get("/t/north/"))
    assert "You look after no set at present" in words(student.get("/t/north/"))


def test_a_due_check_stands_under_its_day_with_its_zone(
    world: World, student: Client, at: Clock
) -> None:
    world.set("A-1")  # a snare holds: 24 hours from 11:00 at the line
    page = words(student.get("/t/north/"))
    assert "0 overdue · 0 due today · 1 later" in page
    assert "in 22 h 0 min" in page
    assert "before Tue 6 Jan 11:00 MST" in page


def test_at_its_due_moment_a_check_is_overdue(world: World, student: Client, at: Clock) -> None:
    world.set("A-1")
    at(START + 24 * HOUR - timedelta(seconds=1))
    assert "0 overdue · 1 due today" in words(student.get("/t/north/"))
    at(START + 24 * HOUR)
    assert "1 overdue · 0 due today" in words(student.get("/t/north/"))


def test_today_ends_with_the_lines_own_day_not_with_utc(
    world: World, student: Client, at: Clock
) -> None:
    world.set("A-1")  # due 18:00 UTC on the 6th, 11:00 at the line
    at(datetime(2026, 1, 6, 6, 59, tzinfo=UTC))  # 23:59 on the 5th at the line
    assert "0 due today · 1 later" in words(student.get("/t/north/"))
    at(datetime(2026, 1, 6, 7, 0, tzinfo=UTC))  # midnight there
    assert "1 due today · 0 later" in words(student.get("/t/north/"))


def test_an_animal_waiting_comes_first_with_the_numbers_to_call(
    world: World, instructor: Client
) -> None:
    wait(world, world.set("A-1"), START + HOUR, "Left hind foot.")
    put_numbers_to_call(world.team, [NumberToCall("Duty instructor", "+1 (867) 555-0142")])
    answer = instructor.get("/t/north/")
    page = words(answer)
    assert page.index("Animal waiting") < page.index("Later")
    assert "Lynx: Leave and call first" in page
    assert "“Left hind foot.”" in page
    assert 'href="tel:+18675550142"' in answer.content.decode()


def test_a_member_sees_only_what_they_look_after(
    world: World, student: Client, instructor: Client
) -> None:
    world.set("A-1")
    world.set("A-2", responsible=world.instructor)
    assert "A-2" not in words(student.get("/t/north/"))
    assert "A-2" in words(instructor.get("/t/north/"))


def test_the_ribbon_stands_again_as_a_table(world: World, instructor: Client, at: Clock) -> None:
    for number in range(3):
        world.set(f"A-{number}")
    at(START + 23 * HOUR)
    page = words(instructor.get("/t/north/"))
    assert "Creek line Check 3 before Tue 6 Jan 11:00 MST in 1 h 0 min" in page


def test_the_ribbon_says_when_the_sun_is_up(world: World, instructor: Client) -> None:
    """Against ephem, an independent ephemeris, with the almanac's horizon (-0:34, upper limb)."""
    world.set("A-1")
    page = words(instructor.get("/t/north/"))
    assert "Hours on the clock of America/Whitehorse." in page
    sets, rises = (_by_ephem(START + 2 * HOUR, event) for event in ("setting", "rising"))
    assert f"Daylight Mon 5 Jan 13:00 MST – Mon 5 Jan {sets:%H:%M} MST." in page
    assert f"Daylight Tue 6 Jan {rises:%H:%M} MST" in page


def _by_ephem(after: datetime, event: str) -> datetime:
    place = ephem.Observer()
    place.lon, place.lat = str(PLACE[0]), str(PLACE[1])
    place.pressure, place.horizon = 0, "-0:34"
    place.date = ephem.Date(after.replace(tzinfo=None))
    found = getattr(place, f"next_{event}")(ephem.Sun()).datetime()
    return found.replace(tzinfo=UTC).astimezone(ZoneInfo(TZ))  # type: ignore[no-any-return]


def test_a_stale_due_time_says_that_it_is_being_recomputed(world: World, manager: Client) -> None:
    world.set("A-1")
    assert "being recomputed" not in words(manager.get("/t/north/"))
    document = RULEBOOK | {"in_force_from": "2026-01-05T00:00:00-07:00"}
    submit(world.manager, "take_rulebook", {"document": document}, at=START, now=START)
    assert "being recomputed" in words(manager.get("/t/north/"))


def test_today_takes_the_same_statements_for_one_set_as_for_twelve(
    world: World, instructor: Client
) -> None:
    world.set("A-0")
    assert statements(instructor, "/t/north/") == BUDGET
    for number in range(1, 12):
        world.set(f"A-{number}", responsible=world.instructor)
    assert statements(instructor, "/t/north/") == BUDGET
