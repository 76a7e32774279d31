"""Numbers are used once and come from a book of the set's licence; parts are in one place each."""

from typing import Any
from uuid import UUID

import pytest

from tests.record.acting import do, refusal
from tests.record.phone import AT, HOUR, became, check, kept, sent
from tests.world import START, World
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.lines.models import Catch, Check, NumberSpent
from trapline.standing.models import PartStay


def book(world: World, first: int = 1, last: int = 50, **other: Any) -> dict[str, Any]:
    return {
        "licence": world.licence, "kind": "site_tag", "prefix": "N-", "first": first,
        "last": last, **other,
    }  # fmt: skip


def catch(world: World, set_id: UUID, *tags: str, **said: Any) -> dict[str, Any]:
    animals = [
        {
            "animal": new_id(), "species": world.species["marten"], "alive_on_arrival": False,
            "fate": "found_dead", "site_tag": tag, **said,
        }
        for tag in tags
    ]  # fmt: skip
    return check(set_id, found="animal", catches=animals)


def spent(world: World) -> list[int]:
    with team_scope(world.team):
        return sorted(NumberSpent.objects.values_list("number", flat=True))


def test_a_tag_comes_from_the_book_of_the_sets_licence(world: World) -> None:
    do(world.manager, "issue_numbers", book(world))
    body = catch(world, world.set("S1"), "N-7")
    do(world.student, "log_check", body, at=AT)
    with team_scope(world.team):
        animal, number = Catch.objects.get(), NumberSpent.objects.get()
    assert (animal.site_tag, animal.licence_id) == ("N-7", world.licence)
    assert (number.number, number.use, number.animal) == (7, "used", animal.animal)


@pytest.mark.parametrize("tag", ["N-0", "N-51", "7", "N-", "N-7a", "n-7", "N--7"])
def test_a_tag_that_is_in_no_book_needs_review_and_nothing_is_lost(world: World, tag: str) -> None:
    do(world.manager, "issue_numbers", book(world))
    set_id = world.set("S1")
    outcome = sent(world, world.student, "log_check", catch(world, set_id, tag))
    assert became(outcome) == ("needs_review", "catches.0.site_tag", "number_not_in_book")
    assert tag.encode() in bytes(kept(world, outcome).body)
    with team_scope(world.team):
        assert not Check.objects.exists()


def test_a_tag_of_another_licences_book_is_in_no_book(world: World) -> None:
    other = {
        "licence": new_id(), "holder": world.manager.member, "number": "T-2",
        "authority": "territory", "valid_from": "2025-07-01", "valid_until": "2026-06-30",
    }  # fmt: skip
    do(world.manager, "give_licence", other)
    do(world.manager, "issue_numbers", book(world, licence=other["licence"]))
    body = catch(world, world.set("S1"), "N-7")
    wrong = ("catches.0.site_tag", "number_not_in_book")
    assert refusal(world.student, "log_check", body, AT) == wrong


def test_a_seal_is_not_a_site_tag(world: World) -> None:
    do(world.manager, "issue_numbers", book(world, kind="seal"))
    set_id = world.set("S1")
    wrong = ("catches.0.site_tag", "number_not_in_book")
    assert refusal(world.student, "log_check", catch(world, set_id, "N-7"), AT) == wrong
    do(world.student, "log_check", catch(world, set_id, "", seal="N-7"), at=AT)


def test_a_number_is_used_once(world: World) -> None:
    do(world.manager, "issue_numbers", book(world))
    one, other = world.set("S1"), world.set("S2")
    do(world.student, "log_check", catch(world, one, "N-7"), at=AT)
    outcome = sent(world, world.student, "log_check", catch(world, other, "N-7"))
    assert became(outcome) == ("needs_review", "catches.0.site_tag", "number_spent")
    do(world.student, "log_check", catch(world, other, "N-8"), at=AT)
    assert spent(world) == [7, 8]


def test_two_animals_of_one_check_cannot_share_a_number(world: World) -> None:
    do(world.manager, "issue_numbers", book(world))
    set_id = world.set("S1")
    wrong = ("catches.1.site_tag", "number_spent")
    assert refusal(world.student, "log_check", catch(world, set_id, "N-7", "N-07"), AT) == wrong
    do(world.student, "log_check", catch(world, set_id, "N-7", "N-8"), at=AT)
    assert spent(world) == [7, 8]


@pytest.mark.parametrize(("first", "last"), [(1, 50), (50, 60), (0, 1), (20, 21), (0, 99)])
def test_numbers_are_issued_once(world: World, first: int, last: int) -> None:
    do(world.manager, "issue_numbers", book(world))
    wrong = ("first", "numbers_issued_before")
    assert refusal(world.manager, "issue_numbers", book(world, first, last)) == wrong
    do(world.manager, "issue_numbers", book(world, first, last, prefix="M-"))
    do(world.manager, "issue_numbers", book(world, 51, 60))


def test_a_book_runs_forwards_and_is_issued_by_a_leader(world: World) -> None:
    backwards = ("last", "numbers_out_of_order")
    assert refusal(world.manager, "issue_numbers", book(world, 9, 8)) == backwards
    leaders = ("licence", "only_leaders")
    assert refusal(world.student, "issue_numbers", book(world)) == leaders


# Parts


def stays(world: World) -> dict[UUID, tuple[str, str, UUID | None]]:
    """Each part with its role, its state and its device now."""
    with team_scope(world.team):
        rows = PartStay.objects.filter(during__upper_inf=True).select_related("part__kind")
        return {row.part_id: (row.part.kind.role, row.state, row.device_id) for row in rows}


def part_of(world: World, role: str, state: str) -> UUID:
    return next(part for part, (r, s, _) in stays(world).items() if (r, s) == (role, state))


def build(world: World, mark: str, *parts: tuple[str, UUID]) -> dict[str, Any]:
    return {
        "device": new_id(), "kind": world.kinds["snare"], "mark": mark,
        "parts": [{"part": part, "kind": world.part_kinds[role]} for role, part in parts],
    }  # fmt: skip


def after_a_catch(world: World) -> None:
    do(world.student, "log_check", catch(world, world.set("S1"), ""), at=AT)


def test_a_spent_part_cannot_be_built_in_and_a_freed_one_can(world: World) -> None:
    after_a_catch(world)
    cable, lock = part_of(world, "cable", "spent"), part_of(world, "lock", "inspect")
    spent_one = build(world, "D2", ("cable", cable), ("lock", lock))
    wrong = ("parts", "part_not_fit")
    assert refusal(world.instructor, "build_device", spent_one, AT + HOUR) == wrong
    assert stays(world)[lock] == ("lock", "inspect", None)
    again = build(world, "D2", ("cable", new_id()), ("lock", lock))
    do(world.instructor, "build_device", again, at=AT + HOUR)
    assert stays(world)[lock] == ("lock", "built_in", again["device"])


def test_a_part_in_one_device_cannot_be_built_into_another(world: World) -> None:
    world.device("snare", "D1")
    cable = part_of(world, "cable", "built_in")
    body = build(world, "D2", ("cable", cable))
    wrong = ("parts", "part_in_another_device")
    assert refusal(world.instructor, "build_device", body, AT) == wrong


def test_a_mark_is_given_once(world: World) -> None:
    world.device("snare", "D1")
    body = build(world, "D1")
    assert refusal(world.instructor, "build_device", body, AT) == ("mark", "mark_taken")
    do(world.instructor, "build_device", {**body, "mark": "D2"}, at=AT)


@pytest.mark.parametrize("kind", ["nobody's", "another team's"])
def test_a_kind_that_is_not_there_waits(world: World, other_world: World, kind: str) -> None:
    key = new_id() if kind == "nobody's" else other_world.kinds["snare"]
    body = {**build(world, "D9"), "kind": key}
    assert refusal(world.instructor, "build_device", body) == ("kind", "waits_for")


def test_a_catch_in_a_body_gripping_trap_leaves_its_parts(world: World) -> None:
    set_id = world.set("B1", "body")
    before = stays(world)
    do(world.student, "log_check", catch(world, set_id, ""), at=AT)
    assert stays(world) == before


def test_one_device_stands_in_one_set_only(world: World) -> None:
    set_id = world.set("S1")
    with team_scope(world.team):
        device = PartStay.objects.filter(state="built_in").values_list("device", flat=True)[0]
    placing = {
        "set": new_id(), "line": world.line, "label": "S2", "licence": world.licence,
        "place": (-128.4, 61.9), "placement": "land", "device": device,
    }  # fmt: skip
    in_use = ("device", "device_in_use")
    assert refusal(world.student, "place_set", placing, AT) == in_use
    do(world.student, "pull_set", {"set": set_id}, at=AT)
    # An act that says it was placed while the other still stood: the database sees it.
    wrong = ("body", "constraint_standing_setperiod_device_in_one_set")
    assert refusal(world.student, "place_set", placing, START + HOUR) == wrong
    do(world.student, "place_set", placing, at=AT)
