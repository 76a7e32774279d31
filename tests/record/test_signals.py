"""A monitor stands in for visits as far as a rule lets it: a status at least every A hours; after a

closure, or contact lost, a visit within B. Moments here are counted by hand.
"""

from datetime import datetime, timedelta

import pytest

from tests.record.acting import do, refusal
from tests.world import RULEBOOK, START, World
from trapline.duties.models import Duty
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.people.rights import Actor
from trapline.record.desk import submit

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)
WATCHED = {
    "code": "watched", "matter": "check", "authority": "territory", "form": "monitored",
    "params": {"status_hours": 24, "visit_hours": 12}, "source": "invented",
}  # fmt: skip


@pytest.fixture
def watched(world: World) -> World:
    """A rulebook whose only check rule is by signals: a status a day, a visit within 12 hours."""
    book = {**RULEBOOK, "rules": [WATCHED]}
    submit(world.manager, "take_rulebook", {"document": book}, at=START, now=START)
    return world


def hear(world: World, set_id: object, what: str, at: datetime, by: Actor | None = None) -> None:
    said = {"signal": new_id(), "set": set_id, "what": what}
    submit(by or world.student, "take_signal", said, at=at, now=at)


def due(world: World) -> datetime | None:
    with team_scope(world.team):
        at: datetime | None = Duty.objects.get(kind="check", state__in=("open", "overdue")).due_at
        return at


def test_a_monitor_that_was_never_heard_counts_as_lost_from_the_placing_on(watched: World) -> None:
    watched.set("A-1")
    assert due(watched) == START + 12 * HOUR


def test_a_status_carries_the_set_a_day_and_the_hours_to_get_there(watched: World) -> None:
    one = watched.set("A-1")
    hear(watched, one, "status", START + 6 * HOUR)
    assert due(watched) == START + (6 + 24 + 12) * HOUR
    hear(watched, one, "status", START + 20 * HOUR)
    assert due(watched) == START + (20 + 24 + 12) * HOUR


@pytest.mark.parametrize("what", ["closed", "contact_lost"])
def test_a_closure_or_lost_contact_asks_for_a_visit_whatever_is_heard_after(
    watched: World, what: str
) -> None:
    one = watched.set("A-1")
    hear(watched, one, "status", START + 6 * HOUR)
    hear(watched, one, what, START + 8 * HOUR)
    assert due(watched) == START + (8 + 12) * HOUR
    hear(watched, one, "status", START + 9 * HOUR)
    assert due(watched) == START + (8 + 12) * HOUR
    watched.check(watched.student, one, START + 15 * HOUR)
    assert due(watched) == START + (9 + 24 + 12) * HOUR, "the visit has answered it"


def test_a_signal_that_comes_in_late_counts_from_when_it_was_heard(watched: World) -> None:
    one = watched.set("A-1")
    hear(watched, one, "status", START + 20 * HOUR)
    said = {"signal": new_id(), "set": one, "what": "closed"}
    submit(watched.student, "take_signal", said, at=START + 2 * HOUR, now=START + 21 * HOUR)
    assert due(watched) == START + (2 + 12) * HOUR


def test_nobody_hears_a_set_that_is_not_theirs_or_has_ended(
    watched: World, other_world: World
) -> None:
    one = watched.set("A-1", responsible=watched.instructor)
    said = {"signal": new_id(), "set": one, "what": "status"}
    assert refusal(watched.student, "take_signal", said) == ("set", "waits_for")
    assert refusal(other_world.manager, "take_signal", said) == ("set", "waits_for")
    do(watched.instructor, "pull_set", {"set": one}, at=START + HOUR)
    late = refusal(watched.instructor, "take_signal", said, at=START + 2 * HOUR)
    assert late == ("set", "set_ended")
