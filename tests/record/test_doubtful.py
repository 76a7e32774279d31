"""What looks wrong about a check stands beside it and is shown to a reviewer; nothing is mended.

Places are laid out by pyproj's geodesics on WGS 84 (Karney 2013), not by the house.
"""

from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest
from pyproj import Geod

from tests.pages.cast import client_of
from tests.pages.reading import words
from tests.record.acting import do
from tests.record.phone import AT, HOUR, check, kept, letter, sent
from tests.world import PLACE, START, World
from trapline.ground import clock
from trapline.ground.scope import team_scope
from trapline.lines.models import Check
from trapline.people.models import Person
from trapline.record.sync import receive

pytestmark = pytest.mark.django_db
MINUTE = timedelta(minutes=1)


def away(metres: float) -> list[float]:
    """A place so far east of where sets stand."""
    lon, lat, _ = Geod(ellps="WGS84").fwd(*PLACE, 90, metres)
    return [lon, lat]


def flags(world: World, set_id: UUID, **said: Any) -> list[str]:
    body = check(set_id, **said)
    assert sent(world, world.student, "log_check", body).state == "applied"
    with team_scope(world.team):
        found: list[str] = Check.objects.values_list("flags", flat=True).get(id=body["check"])
    return found


def test_a_look_at_the_set_from_far_away_is_flagged_and_any_that_says_so_is_not(
    world: World,
) -> None:
    """From 100 m beyond the accuracy of the position and the distance that is said."""
    set_id, far = world.set("S1"), ["far_from_set"]
    assert flags(world, set_id) == []
    assert flags(world, set_id, position=away(109), accuracy_m=10) == []
    assert flags(world, set_id, position=away(111), accuracy_m=10) == far
    assert flags(world, set_id, position=away(111)) == far
    seen = {"how_seen": "from_distance", "seen_from_m": 300}
    assert flags(world, set_id, position=away(409), accuracy_m=10, **seen) == []
    assert flags(world, set_id, position=away(411), accuracy_m=10, **seen) == far
    assert flags(world, set_id, position=away(5000), how_seen="camera") == []
    none = {"found": "not_reached", "reason": "Thin ice.", "done": []}
    assert flags(world, set_id, position=away(5000), **none) == []


def test_how_far_a_look_was_is_reckoned_from_where_the_set_stood_then(world: World) -> None:
    set_id, there = world.set("S1"), away(400)
    moved = {"position": there, "done": ["moved"], "moved_to": {"place": there}}
    body = check(set_id, **moved)
    sent(world, world.student, "log_check", body, START + 10 * HOUR)
    assert flags(world, set_id, position=there, accuracy_m=5) == []
    assert flags(world, set_id, position=list(PLACE), accuracy_m=5) == ["far_from_set"]
    late = check(set_id, position=list(PLACE), accuracy_m=5)  # before the set was moved
    outcome = sent(world, world.student, "log_check", late, START + 5 * HOUR, received=AT)
    assert outcome.state == "applied"
    with team_scope(world.team):
        kept_flags = dict(Check.objects.values_list("id", "flags"))
    assert (kept_flags[late["check"]], kept_flags[body["check"]]) == ([], [])


def test_a_reviewer_is_shown_what_looks_wrong_with_how_far_and_how_well_it_was_known(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("trapline.ground.clock.machine", lambda: AT + HOUR)
    set_id = world.set("S1")
    wrong = check(set_id, position=away(640), accuracy_m=12)
    sent(world, world.student, "log_check", wrong)
    sent(world, world.student, "log_check", check(set_id, position=away(7), accuracy_m=4))
    said = "The phone was far from the set, by its own position. "
    figures = "The phone was 640 m from the set, to within 12 m."
    page = words(client_of(world.instructor).get("/t/north/review/"))
    assert f"S1 · Signe {said}{figures}" in page
    assert "to within 4 m" not in page  # what looks right needs no reviewer
    timeline = words(client_of(world.instructor).get(f"/t/north/sets/{set_id}/"))
    assert said in timeline and figures in timeline and "to within 4 m" in timeline
    assert client_of(world.student).get("/t/north/review/").status_code == 404
    withdrawn = {"corrects": wrong["check"], "withdraw": True}
    do(world.instructor, "correct_check", withdrawn, AT)
    assert figures not in words(client_of(world.instructor).get("/t/north/review/"))


def test_a_clock_set_back_between_two_acts_of_one_session_is_flagged_and_not_mended(
    world: World,
) -> None:
    """The monotonic reading runs on while the wall clock jumps back: before the jump it was wrong.

    Asleep (the wall clock alone runs) and another session prove nothing.
    """
    set_id = world.set("S1")
    made = (  # wall clock, monotonic reading, session
        (AT - 9 * HOUR, 10.0, "one"),
        (AT - 5 * HOUR, 20.0, "one"),  # asleep for four hours
        (AT - 5 * HOUR - 119 * MINUTE / 60, 30.0, "one"),  # set back by less than is flagged
        (AT - 6 * HOUR, 40.0, "one"),  # set back by an hour
        (AT - 7 * HOUR, 5.0, "two"),
    )
    raw = [
        letter(world, "log_check", check(set_id), wall, mono_s=mono, session=session)
        for wall, mono, session in made
    ]
    outcomes = receive(
        Person.objects.get(pk=str(world.student.person)), raw, sent_at=AT, received_at=AT
    )
    acts = [kept(world, one) for one in outcomes]
    assert [one.clock_flagged for one in acts] == [False, True, True, False, False]
    assert [(one.state, one.acted_at) for one in acts] == [("applied", wall) for wall, _, _ in made]
    with team_scope(world.team):
        told = dict(Check.objects.values_list("act_id", "flags"))
    assert [told[one.id] for one in acts] == [
        ["clock_disagrees"] if one.clock_flagged else [] for one in acts
    ]


def test_the_stop_page_that_was_opened_is_noted_and_shown_to_whoever_leads(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("trapline.ground.clock.machine", lambda: AT + HOUR)
    raw = letter(world, "open_stop_page", {"carried_at": (AT - HOUR).isoformat()})
    person = Person.objects.get(pk=str(world.student.person))
    for state in ("applied", "known"):
        (outcome,) = receive(person, [raw], sent_at=AT, received_at=AT)
        assert outcome.state == state
    page = words(client_of(world.instructor).get("/t/north/review/"))
    assert "Stop page opened Signe Tue 6 Jan 14:00 UTC" in page
    assert bytes(kept(world, outcome).body) == raw
    assert clock.now() == AT + HOUR
