"""The check form: two touches when all is in order, every refusal beside its field."""

import json
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client

from tests.pages.conftest import Clock
from tests.pages.reading import filled, form_with, forms, words
from tests.world import START, World
from trapline.ground.scope import team_scope
from trapline.lines.models import Catch, Check, NumberSpent
from trapline.people.models import Person
from trapline.record.desk import submit

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)


def checks_of(world: World, set_id: Any) -> list[Check]:
    with team_scope(world.team):
        return list(Check.objects.filter(set_id=set_id).order_by("at"))


def address(set_id: Any) -> str:
    return f"/t/north/sets/{set_id}/check/"


def a_catch(world: World, **more: Any) -> dict[str, Any]:
    return {
        "found": "animal",
        "done": ["remade"],
        "catch-0-species": str(world.species["marten"]),
        "catch-0-alive_on_arrival": "yes",
        "catch-0-fate": "dispatched",
        "catch-0-means": "by hand",
        **more,
    }


def test_two_touches_log_a_check_in_order(world: World, student: Client) -> None:
    set_id = world.set("A-1")
    opened = student.get(address(set_id))
    assert b"In order, left as it was" in opened.content
    answer = student.post(address(set_id), _quick(opened))
    assert answer.status_code == 302
    (check,) = checks_of(world, set_id)
    assert (check.found, check.done, check.how_seen) == ("in_order", ["left"], "at_set")


def _quick(opened: Any) -> dict[str, Any]:
    """What the big button sends."""
    return forms(opened)[0].values | {"quick": "1"}


def test_a_button_pressed_twice_logs_one_check(world: World, student: Client, at: Clock) -> None:
    set_id = world.set("A-1")
    sent = _quick(student.get(address(set_id)))
    student.post(address(set_id), sent)
    at(START + 2 * HOUR + timedelta(seconds=3))
    assert student.post(address(set_id), sent).status_code == 302
    assert len(checks_of(world, set_id)) == 1


def test_a_form_sent_again_with_other_words_is_not_kept_and_says_so(
    world: World, student: Client
) -> None:
    set_id = world.set("A-1")
    opened = student.get(address(set_id))
    student.post(address(set_id), filled(opened, "note", found="in_order", done=["left"]))
    again = student.post(address(set_id), filled(opened, "note", found="damaged"))
    assert again.status_code == 422
    assert "already sent with other words" in words(again)
    assert [one.found for one in checks_of(world, set_id)] == ["in_order"]


def test_a_catch_is_kept_with_its_number_from_the_book(world: World, student: Client) -> None:
    set_id = world.set("A-1")
    book = {"licence": world.licence, "kind": "site_tag", "prefix": "NV-", "first": 41, "last": 50}
    submit(world.instructor, "issue_numbers", book, at=START, now=START)
    opened = student.get(address(set_id))
    assert "Next in the book of T-north: NV-41 (10 left)." in words(opened)
    typed = a_catch(world, **{"catch-0-site_tag": "NV-41", "catch-0-weight_kg": "1.25"})
    answer = student.post(address(set_id), filled(opened, "note", **typed))
    assert answer.status_code == 302, words(answer)
    with team_scope(world.team):
        (caught,) = Catch.objects.all()
        (spent,) = NumberSpent.objects.all()
    assert (caught.weight_kg, caught.site_tag, caught.is_target) == (1.25, "NV-41", True)
    assert (spent.number, spent.animal) == (41, caught.animal)
    page = words(student.get(answer["Location"]))
    assert "Marten, sex and age not noted · alive on arrival · Dispatched (by hand) · Signe" in page
    assert "Dispatched by someone not signed off for it." in page


def test_a_number_from_no_book_is_refused_at_its_field_and_nothing_typed_is_lost(
    world: World, student: Client
) -> None:
    set_id = world.set("A-1")
    typed = a_catch(world, note="Cable kinked.", **{"catch-0-site_tag": "NV-99"})
    answer = student.post(address(set_id), filled(student.get(address(set_id)), "note", **typed))
    assert answer.status_code == 422
    page = answer.content.decode()
    field = page[page.index('id="id_catch-0-site_tag"') :]
    assert "NV-99 is in no book issued to this licence" in field[: field.index("</div>")]
    shown = form_with(answer, "note").values
    for name, value in typed.items():
        assert shown[name] == (value if isinstance(value, list) else [value]), name
    assert checks_of(world, set_id) == []


@pytest.mark.parametrize(
    ("typed", "name", "sentence"),
    [
        ({"found": "gone"}, "gone_how", "Say how it is gone."),
        ({"found": "not_reached"}, "reason", "Say why it was not reached."),
        ({"found": "in_order", "done": ["raised"]}, "height", "Say how high it hangs now."),
        ({"found": "in_order", "done": ["moved"]}, "lat", "Say where it stands now."),
        (
            {"found": "in_order", "how_seen": "from_distance"},
            "seen_from",
            "Say from how far.",
        ),
        ({"found": "in_order", "supervision": "on_call"}, "supervised_by", "Say by whom."),
        ({"found": "animal"}, "catch-0-species", "This is needed."),
        ({"found": "in_order", "when": "yesterday"}, "when", "Give date and time"),
        ({"found": "in_order", "snow_depth_m": "deep"}, "snow_depth_m", "Enter a number."),
    ],
)
def test_what_is_missing_is_said_at_its_field(
    world: World, student: Client, typed: dict[str, Any], name: str, sentence: str
) -> None:
    set_id = world.set("A-1")
    answer = student.post(address(set_id), filled(student.get(address(set_id)), "note", **typed))
    assert answer.status_code == 422
    page = answer.content.decode()
    error = page[page.index(f'id="id_{name}_error"') :]
    assert sentence in error[: error.index("</p>")]


def test_parts_that_do_not_go_with_what_was_found_are_left_out(
    world: World, student: Client
) -> None:
    set_id = world.set("A-1")
    typed = a_catch(world, found="in_order", sign="weather", gone_how="taken", done=["left"])
    answer = student.post(address(set_id), filled(student.get(address(set_id)), "note", **typed))
    assert answer.status_code == 302, words(answer)
    (check,) = checks_of(world, set_id)
    assert (check.sign, check.gone_how) == ("", "")


def test_one_more_animal_keeps_what_was_typed_and_complains_of_nothing(
    world: World, student: Client
) -> None:
    set_id = world.set("A-1")
    typed = a_catch(world, more="1", **{"catch-0-species": ""})
    answer = student.post(address(set_id), filled(student.get(address(set_id)), "note", **typed))
    assert answer.status_code == 200
    shown = form_with(answer, "note").values
    assert shown["catch-0-means"] == ["by hand"]
    assert "catch-1-animal" in shown
    assert b'class="error"' not in answer.content


def test_lengths_are_typed_and_shown_in_the_persons_units(world: World, student: Client) -> None:
    Person.objects.filter(sign_in_name="signe.north").update(units="imperial")
    set_id = world.set("A-1")
    typed = {"found": "in_order", "snow_depth_m": "10", "done": ["left"]}
    answer = student.post(address(set_id), filled(student.get(address(set_id)), "note", **typed))
    (check,) = checks_of(world, set_id)
    assert check.snow_depth_m == pytest.approx(0.254)  # ten inches, by definition
    assert "snow 10 in" in words(student.get(answer["Location"]))


def test_a_check_from_before_the_placing_is_refused_at_the_time(
    world: World, student: Client
) -> None:
    set_id = world.set("A-1")
    typed = {"found": "in_order", "when": "2026-01-05T10:00"}
    answer = student.post(address(set_id), filled(student.get(address(set_id)), "note", **typed))
    page = answer.content.decode()
    error = page[page.index('id="id_when_error"') :]
    assert "before A-1 was placed" in error[: error.index("</p>")]


def test_a_correction_starts_from_what_was_sent_and_both_stay(
    world: World, student: Client
) -> None:
    set_id = world.set("A-1")
    wrong = world.check(world.student, set_id, START + HOUR, note="All fine.", snow_depth_m=0.4)
    correct = f"/t/north/sets/{set_id}/checks/{wrong}/correct/"
    opened = student.get(correct)
    shown = form_with(opened, "note").values
    assert (shown["note"], shown["snow_depth_m"], shown["done"]) == (
        ["All fine."],
        ["40"],
        ["left"],
    )
    answer = student.post(correct, filled(opened, "note", found="sprung_empty", sign="weather"))
    assert answer.status_code == 302, words(answer)
    first, second = checks_of(world, set_id)
    assert (first.found, second.found) == ("in_order", "sprung_empty")
    assert (second.corrects_id, second.at) == (first.id, first.at)
    assert "Corrected by a later entry" in words(student.get(answer["Location"]))


def test_a_check_that_was_never_made_is_withdrawn(world: World, student: Client) -> None:
    set_id = world.set("A-1")
    wrong = world.check(world.student, set_id, START + HOUR)
    correct = f"/t/north/sets/{set_id}/checks/{wrong}/correct/"
    answer = student.post(correct, filled(student.get(correct), "note", withdraw="1"))
    assert answer.status_code == 302, words(answer)
    assert [one.withdraws for one in checks_of(world, set_id)] == [False, True]


def test_what_was_sent_is_the_act_that_is_kept(world: World, student: Client) -> None:
    set_id = world.set("A-1")
    typed = {"found": "sprung_empty", "sign": "other", "note": "Fox tracks “all round”."}
    student.post(address(set_id), filled(student.get(address(set_id)), "note", **typed))
    (check,) = checks_of(world, set_id)
    with team_scope(world.team):
        said = json.loads(bytes(check.act.body))["body"]
    assert (said["note"], said["sign"]) == ("Fox tracks “all round”.", "other")


def test_what_cannot_simply_be_applied_can_be_left_for_a_leader(
    world: World, student: Client, instructor: Client
) -> None:
    set_id = world.set("A-1")
    typed = {"found": "in_order", "done": ["left"], "when": "2026-01-05T10:00"}
    opened = student.get(address(set_id))
    refused = student.post(address(set_id), filled(opened, "note", **typed))
    assert "leave it for an instructor or a manager" in words(refused)
    again = form_with(refused, "note").values | {"for_review": "1"}
    answer = student.post(address(set_id), again)
    assert answer.status_code == 302
    assert "It is kept for an instructor" in words(student.get(answer["Location"]))
    assert checks_of(world, set_id) == []
    page = words(instructor.get("/t/north/review/"))
    assert "Log a check · Signe This is before A-1 was placed." in page
