"""A set's page: what is due and why, what happened; placing, handing over, ending."""

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client

from tests.pages.conftest import Clock
from tests.pages.reading import filled, form_with, words
from tests.world import RULEBOOK, START, World
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.record.desk import submit
from trapline.standing.models import SetState
from trapline.watch.sweep import sweep

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)


def state(world: World, set_id: Any) -> SetState:
    with team_scope(world.team):
        found: SetState = SetState.objects.get(set_id=set_id)
        return found


def placing(world: World, opened: Any, **typed: Any) -> dict[str, Any]:
    """What a browser sends of the form that places a set."""
    basics = {
        "line": str(world.line),
        "label": "N-1",
        "lat": "61.905",
        "lon": "-128.401",
        "placement": "land",
        "device": str(world.device("snare", "S-900")),
        "licence": str(world.licence),
        "responsible": str(world.student.member),
    }
    return filled(opened, "label", **(basics | typed))


def test_the_page_says_which_rule_binds_and_why(world: World, student: Client) -> None:
    page = words(student.get(f"/t/north/sets/{world.set('A-1')}/"))
    assert "holding-each-day · The territory At most 24 hours after the last visit." in page
    assert "Counted from Mon 5 Jan 11:00 MST" in page
    assert page.index("binds") < page.index("is met later")


def test_without_a_rule_that_applies_the_page_says_so(world: World, student: Client) -> None:
    from tests.world import RULEBOOK

    empty = RULEBOOK | {"rules": [], "in_force_from": "2026-01-05T00:00:00-07:00"}
    submit(world.manager, "take_rulebook", {"document": empty}, at=START, now=START)
    page = words(student.get(f"/t/north/sets/{world.set('A-1')}/"))
    assert "No check rule in the rulebook applies to this set" in page
    assert "no rule sets a time" in page


def test_the_timeline_tells_what_happened_newest_first(
    world: World, student: Client, at: Clock
) -> None:
    set_id = world.set("A-1")
    world.check(world.student, set_id, START + HOUR, found="sprung_empty", sign="weather")
    at(START + 30 * HOUR)
    sweep(START + 30 * HOUR)
    page = words(student.get(f"/t/north/sets/{set_id}/"))
    timeline = page[page.index("Timeline") :]
    told = ["Check · Overdue", "Sprung, empty · Weather", "Placed"]
    assert sorted(told, key=timeline.index) == told


def test_a_set_is_placed_from_the_form(world: World, instructor: Client, at: Clock) -> None:
    opened = instructor.get("/t/north/sets/new/")
    answer = instructor.post(
        "/t/north/sets/new/", placing(world, instructor.get("/t/north/sets/new/"))
    )
    # The first page was opened before the device was built, so its list lacks it.
    assert b"S-900" not in opened.content
    assert answer.status_code == 302, words(answer)
    page = words(instructor.get(answer["Location"]))
    assert "N-1" in page
    assert "61.90500, -128.40100" in page
    assert "Looked after by Signe" in page


def test_a_tap_on_the_map_fills_the_place(world: World, instructor: Client) -> None:
    opened = instructor.get(f"/t/north/sets/new/?lat=61.9012&lon=-128.4031&line={world.line}")
    shown = form_with(opened, "label").values
    assert (shown["lat"], shown["lon"]) == (["61.9012"], ["-128.4031"])
    assert shown["line"] == [str(world.line)]


def test_a_label_that_is_taken_is_refused_at_its_field_and_nothing_is_lost(
    world: World, instructor: Client
) -> None:
    world.set("N-1")
    typed = placing(world, instructor.get("/t/north/sets/new/"), anchoring="oak stake")
    answer = instructor.post("/t/north/sets/new/", typed)
    assert answer.status_code == 422
    page = answer.content.decode()
    error = page[page.index('id="id_label_error"') :]
    assert "This line already has a set N-1." in error[: error.index("</p>")]
    shown = form_with(answer, "label").values
    assert (shown["anchoring"], shown["device"]) == (["oak stake"], [typed["device"]])


def test_handing_over_moves_the_duty_and_not_the_licence(
    world: World, instructor: Client, student: Client
) -> None:
    set_id = world.set("A-1")
    path = f"/t/north/sets/{set_id}/hand-over/"
    to = {"to": str(world.instructor.member)}
    assert instructor.post(path, filled(instructor.get(path), "to", **to)).status_code == 302
    assert state(world, set_id).responsible_id == world.instructor.member
    assert "Licence T-north" in words(instructor.get(f"/t/north/sets/{set_id}/"))
    assert student.get(f"/t/north/sets/{set_id}/").status_code == 404


def test_a_set_is_pulled(world: World, student: Client) -> None:
    set_id = world.set("A-1")
    path = f"/t/north/sets/{set_id}/pull/"
    answer = student.post(path, filled(student.get(path), "note", note="Season over."))
    assert answer.status_code == 302
    assert not state(world, set_id).active
    page = words(student.get(answer["Location"]))
    assert "Log a check" not in page
    assert "“Season over.”" in page


def test_a_set_is_not_lost_before_it_was_searched_for(world: World, manager: Client) -> None:
    set_id = world.set("A-1")
    path = f"/t/north/sets/{set_id}/lost/"
    answer = manager.post(path, filled(manager.get(path), "note", note="Gone."))
    assert answer.status_code == 422
    assert state(world, set_id).active
    world.check(world.student, set_id, START + HOUR, found="gone", gone_how="not_found", done=[])
    assert manager.post(path, filled(manager.get(path), "note")).status_code == 302
    assert state(world, set_id).ended == "lost"


def test_an_alarm_is_raised_in_one_touch_and_seen_at_once(
    world: World, student: Client, instructor: Client
) -> None:
    set_id = world.set("A-1")
    path = f"/t/north/sets/{set_id}/waiting/"
    opened = student.get(path)
    assert "Keep your distance" in words(opened)
    answer = student.post(path, filled(opened, "waiting"))
    assert answer.status_code == 302
    for browser in (student, instructor):
        page = words(browser.get("/t/north/"))
        assert "Animal waiting A-1 · Creek line · alive" in page
        assert "Ivar is asked to come." in page


def test_the_alarm_ends_with_what_became_of_the_animal(world: World, student: Client) -> None:
    set_id = world.set("A-1")
    waiting, when = new_id(), START + HOUR
    body = {"waiting": waiting, "set": set_id, "alive": True}
    submit(world.student, "animal_waiting", body, at=when, now=when)
    path = f"/t/north/waiting/{waiting}/end/"
    opened = student.get(path)
    refused = student.post(path, filled(opened, "condition", fate="released"))
    assert "Say in what condition it left." in words(refused)
    sound = filled(opened, "condition", fate="released", condition="unhurt")
    assert student.post(path, sound).status_code == 302
    page = words(student.get(f"/t/north/sets/{set_id}/"))
    assert "No longer waiting · Released · unhurt" in page
    assert "is asked to come" not in page


def test_a_check_with_the_animal_ends_the_alarm(world: World, student: Client) -> None:
    set_id = world.set("A-1")
    waiting, when = new_id(), START + HOUR
    body = {"waiting": waiting, "set": set_id, "species": world.species["marten"]}
    submit(world.student, "animal_waiting", body, at=when, now=when)
    path = f"/t/north/sets/{set_id}/check/"
    typed = {
        "found": "animal",
        "done": ["remade"],
        "ends_waiting": str(waiting),
        "catch-0-species": str(world.species["marten"]),
        "catch-0-alive_on_arrival": "no",
        "catch-0-fate": "found_dead",
    }
    answer = student.post(path, filled(student.get(path), "note", **typed))
    assert answer.status_code == 302, words(answer)
    assert "is asked to come" not in words(student.get("/t/north/"))


def test_a_set_of_another_team_is_not_there(
    world: World, other_world: World, instructor: Client
) -> None:
    theirs = other_world.set("Z-1")
    assert instructor.get(f"/t/north/sets/{theirs}/").status_code == 404
    assert instructor.get(f"/t/south/sets/{theirs}/").status_code == 404
    assert instructor.get(f"/t/north/sets/{new_id()}/").status_code == 404


def test_saying_only_how_a_waiting_ended_asks_for_the_catch_until_it_is_logged(
    world: World, instructor: Client
) -> None:
    set_id, waiting = world.set("A-1"), new_id()
    hour = START + timedelta(hours=1)
    submit(world.student, "animal_waiting", {"waiting": waiting, "set": set_id}, at=hour, now=hour)
    address = f"/t/north/waiting/{waiting}/end/"
    ended = filled(instructor.get(address), "means", fate="dispatched", means="as taught")
    page = instructor.post(address, ended, follow=True)
    assert "Now log the check with the animal" in words(page)
    assert "is asked to log the check with the animal" in words(page)
    assert "Catch to be logged" in words(instructor.get("/t/north/"))
    assert "1 animal that waited has no catch" in words(instructor.get("/t/north/reports/"))
    form = instructor.get(f"/t/north/sets/{set_id}/check/?waiting={waiting}")
    values = filled(form, "found")
    assert (values["found"], values["ends_waiting"]) == (["animal"], [str(waiting)])


def test_a_rule_with_a_window_says_until_when_a_visit_counts(
    world: World, instructor: Client
) -> None:
    """Good until the end of 6 January, but a visit counts from 08:00 to 16:00 only."""
    window = {"from": "08:00", "to": "16:00"}
    rule = {
        "code": "by-day", "matter": "check", "authority": "territory", "form": "each_day",
        "params": {"between": window}, "source": "invented",
    }  # fmt: skip
    body = {"document": RULEBOOK | {"rules": [rule]}}
    submit(world.manager, "take_rulebook", body, at=START, now=START)
    set_id = world.set("A-1")
    told = words(instructor.get(f"/t/north/sets/{set_id}/"))
    assert "end of Tue 6 Jan" in told
    assert "a visit counts until Tue 6 Jan 16:00 MST" in told


def test_a_signal_is_entered_where_a_rule_counts_it(world: World, student: Client) -> None:
    set_id = world.set("A-1")
    page, form = f"/t/north/sets/{set_id}/", f"/t/north/sets/{set_id}/signal/"
    assert "Enter a signal" not in words(student.get(page))
    watched = {
        "code": "watched", "matter": "check", "authority": "territory", "form": "monitored",
        "params": {"status_hours": 24, "visit_hours": 12}, "source": "invented",
    }  # fmt: skip
    book = {**RULEBOOK, "rules": [watched]}
    submit(world.manager, "take_rulebook", {"document": book}, at=START, now=START)
    assert "Enter a signal" in words(student.get(page))
    unsaid = student.post(form, filled(student.get(form), "when"))
    assert unsaid.status_code == 422
    kept = student.post(form, filled(student.get(form), "when", what="closed"), follow=True)
    assert "The signal is kept." in words(kept)
    assert "Signal · It has closed" in words(kept)
