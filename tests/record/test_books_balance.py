"""A tag book balances any evening: used, void, lost, returned and left make its whole run."""

from typing import Any

import pytest

from tests.record.acting import do, refusal
from tests.record.phone import AT, HOUR
from tests.record.test_numbers_and_parts import book, catch
from tests.world import World
from trapline.ground.scope import team_scope
from trapline.lines.models import Series
from trapline.lines.selectors import NumberBook, number_books, numbers_adrift


def the_book(world: World) -> NumberBook:
    with team_scope(world.team):
        (found,) = number_books(world.team)
    assert found.used + found.void + found.lost + found.returned + found.left == 50
    return found


def aside(world: World, number: int, use: str = "void", **said: Any) -> dict[str, Any]:
    with team_scope(world.team):
        return {"series": Series.objects.get().id, "number": number, "use": use, **said}


def adrift(world: World) -> list[str]:
    with team_scope(world.team):
        return [one.text for one in numbers_adrift(world.team)]


def test_numbers_go_void_lost_or_back_and_the_book_balances(world: World) -> None:
    do(world.manager, "issue_numbers", book(world))
    do(world.student, "log_check", catch(world, world.set("S1"), "N-1"), at=AT)
    do(world.instructor, "spend_number", aside(world, 2), at=AT)
    do(world.instructor, "spend_number", aside(world, 3, "lost"), at=AT)
    do(world.instructor, "spend_number", aside(world, 41, "returned", last=50), at=AT)
    now = the_book(world)
    assert (now.used, now.void, now.lost, now.returned, now.left) == (1, 1, 1, 10, 37)
    assert now.next_number == "N-4"


def test_a_number_that_was_set_aside_goes_on_no_animal(world: World) -> None:
    do(world.manager, "issue_numbers", book(world))
    do(world.instructor, "spend_number", aside(world, 2, "lost"), at=AT)
    body = catch(world, world.set("S1"), "N-2")
    wrong = ("catches.0.site_tag", "number_spent")
    assert refusal(world.student, "log_check", body, AT) == wrong


@pytest.mark.parametrize(
    ("said", "wrong"),
    [
        ({"number": 1}, ("number", "number_spent")),
        ({"number": 0}, ("number", "number_not_in_book")),
        ({"number": 49, "last": 51}, ("number", "number_not_in_book")),
        ({"number": 9, "last": 8}, ("last", "numbers_out_of_order")),
        ({"number": 5, "use": "used"}, ("body.use", "shape_literal_error")),
    ],
)
def test_what_cannot_be_set_aside_is_refused_and_the_book_stays(
    world: World, said: dict[str, Any], wrong: tuple[str, str]
) -> None:
    do(world.manager, "issue_numbers", book(world))
    do(world.student, "log_check", catch(world, world.set("S1"), "N-1"), at=AT)
    body = aside(world, 1) | said
    assert refusal(world.instructor, "spend_number", body, AT) == wrong
    assert the_book(world).used == 1


def test_only_a_leader_sets_numbers_aside(world: World) -> None:
    do(world.manager, "issue_numbers", book(world))
    leaders = ("number", "only_leaders")
    assert refusal(world.student, "spend_number", aside(world, 2), AT) == leaders


def withdrawn(world: World) -> dict[str, Any]:
    do(world.manager, "issue_numbers", book(world))
    body = catch(world, world.set("S1"), "N-7")
    do(world.student, "log_check", body, at=AT)
    assert adrift(world) == []
    do(world.instructor, "correct_check", {"corrects": body["check"], "withdraw": True}, at=AT)
    assert adrift(world) == ["N-7"]
    return body


def test_the_number_of_a_withdrawn_catch_can_be_used_again_on_the_same_animal(world: World) -> None:
    body = withdrawn(world)
    again = catch(world, body["set"], "N-7", animal=body["catches"][0]["animal"])
    do(world.student, "log_check", again, at=AT + HOUR)
    assert adrift(world) == []
    assert the_book(world).used == 1


def test_the_number_of_a_withdrawn_catch_goes_on_no_other_animal(world: World) -> None:
    body = withdrawn(world)
    other = catch(world, body["set"], "N-7")
    wrong = ("catches.0.site_tag", "number_spent")
    assert refusal(world.student, "log_check", other, AT + HOUR) == wrong


@pytest.mark.parametrize("use", ["void", "lost", "returned"])
def test_the_number_of_a_withdrawn_catch_can_be_set_aside_once(world: World, use: str) -> None:
    body = withdrawn(world)
    do(world.instructor, "spend_number", aside(world, 7, use), at=AT + HOUR)
    now = the_book(world)
    assert (now.used, getattr(now, use), adrift(world)) == (0, 1, [])
    spent = ("number", "number_spent")
    assert refusal(world.instructor, "spend_number", aside(world, 7), AT + HOUR) == spent
    again = catch(world, body["set"], "N-7", animal=body["catches"][0]["animal"])
    wrong = ("catches.0.site_tag", "number_spent")
    assert refusal(world.student, "log_check", again, AT + HOUR) == wrong


def test_a_correction_that_takes_another_number_leaves_the_first_adrift(world: World) -> None:
    do(world.manager, "issue_numbers", book(world))
    body = catch(world, world.set("S1"), "N-07")
    do(world.student, "log_check", body, at=AT)
    right = catch(world, body["set"], "N-8", animal=body["catches"][0]["animal"])
    do(world.instructor, "correct_check", {"corrects": body["check"], "check": right}, at=AT)
    assert adrift(world) == ["N-7"]
    assert the_book(world).used == 2
