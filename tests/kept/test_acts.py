"""Pelts, meat and samples by acts: what is taken in, and each refusal from the same set-up."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from tests.record.acting import do, refusal
from tests.record.test_asked import take
from tests.reports.season import Caught, local, season
from tests.world import World
from trapline.duties.models import Duty
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.kept.models import PeltStep, Portion
from trapline.kept.samples import samples_asked
from trapline.kept.selectors import KeptAnimal, account, history_of, kept_animals

pytestmark = pytest.mark.django_db
LATER = local(9, 12)


def one(world: World, caught: Caught) -> KeptAnimal:
    """The marten as the book has it."""
    with team_scope(world.team):
        (found,) = kept_animals(world.team, animals=[caught.marten["animal"]])
    return found


def steps(world: World, caught: Caught, *states: str, **more: Any) -> None:
    """The marten's pelt goes through some states, an hour apart."""
    for hours, state in enumerate(states):
        body = {"animals": [caught.marten["animal"]], "state": state, **more}
        do(world.instructor, "move_pelts", body, LATER + timedelta(hours=hours))


def test_a_pelt_goes_from_skin_to_buyer_under_one_number(world: World, caught: Caught) -> None:
    steps(world, caught, "skinned", "fleshed", "dried", place="shed")
    assert (one(world, caught).place, one(world, caught).pelt) == ("room", "dried")
    sold = {"animals": [caught.marten["animal"]], "state": "sold", "to": "Buyer B",
            "price": "41.50", "currency": "CAD"}  # fmt: skip
    do(world.instructor, "move_pelts", sold, LATER + timedelta(days=1))
    told = one(world, caught)
    assert (told.site_tag, told.place, told.pelt_to) == ("N7", "sold", "Buyer B")
    assert (told.price, told.currency) == (Decimal("41.50"), "CAD")
    with team_scope(world.team):
        assert account(world.team).sold == {"CAD": Decimal("41.50")}


def test_a_pelt_goes_forward_only_and_a_mistake_is_taken_back(world: World, caught: Caught) -> None:
    animals = [caught.marten["animal"]]
    steps(world, caught, "skinned", "dried")
    then = LATER + timedelta(hours=5)
    assert refusal(
        world.instructor, "move_pelts", {"animals": animals, "state": "fleshed"}, then
    ) == ("animals.0", "pelt_backwards")
    early = {"animals": animals, "state": "graded"}
    assert refusal(world.instructor, "move_pelts", early, LATER) == ("at", "pelt_told_later")
    steps_before = LATER - timedelta(days=8)
    assert refusal(world.instructor, "move_pelts", early, steps_before) == (
        "at", "before_the_catch"
    )  # fmt: skip
    do(world.instructor, "move_pelts", {"animals": animals, "state": "lost"}, then)
    again = {"animals": animals, "state": "graded"}
    later = then + timedelta(hours=1)
    assert refusal(world.instructor, "move_pelts", again, later) == ("animals.0", "pelt_gone")
    with team_scope(world.team):
        row = PeltStep.objects.get(state="lost").id
    back = {"what": "pelt", "row": row, "reason": "It hung in the other shed."}
    do(world.instructor, "take_back", back, later)
    assert refusal(world.instructor, "take_back", back, later) == ("row", "taken_back_before")
    do(world.instructor, "move_pelts", again, later)
    assert one(world, caught).pelt == "graded"
    with team_scope(world.team):
        told = {entry.state: entry.undone for entry in history_of(world.team, animals[0])}
    assert told["lost"] == "It hung in the other shed."


@pytest.mark.parametrize(
    ("said", "where"),
    [
        ({"state": "sold"}, ("to", "pelt_to_nobody")),
        ({"state": "dried", "price": "3", "currency": "CAD"}, ("price", "price_not_sold")),
        ({"state": "sold", "to": "B", "price": "3"}, ("currency", "price_and_currency")),
    ],
)
def test_a_sale_names_its_buyer_and_its_currency(
    world: World, caught: Caught, said: dict[str, Any], where: tuple[str, str]
) -> None:
    body = {"animals": [caught.marten["animal"]], **said}
    assert refusal(world.instructor, "move_pelts", body, LATER) == where


def test_nothing_is_kept_of_an_animal_that_was_let_go_or_is_anothers(
    world: World, caught: Caught, other_world: World
) -> None:
    let_go = {"animals": [caught.lynx["animal"]], "state": "skinned"}
    assert refusal(world.instructor, "move_pelts", let_go, LATER) == (
        "animals.0", "animal_not_taken"
    )  # fmt: skip
    theirs = {"animals": [caught.marten["animal"]], "state": "skinned"}
    assert refusal(other_world.manager, "move_pelts", theirs, LATER) == ("animals.0", "waits_for")
    # The student made the check, so the animal is theirs to work on.
    do(world.student, "move_pelts", theirs, LATER)


def test_meat_is_food_only_when_somebody_looked_and_it_was_sound(
    world: World, caught: Caught
) -> None:
    animal = caught.marten["animal"]
    eaten = {"animal": animal, "use": "eaten", "kg": 0.3, "member": world.student.member}
    assert refusal(world.student, "share_meat", eaten, LATER) == ("animal", "meat_not_fit")
    fit = {"animal": animal, "fit": True, "organs": "not_looked_at"}
    assert refusal(world.student, "judge_meat", fit, LATER) == ("organs", "meat_organs")
    unfit = {"animal": animal, "fit": False, "organs": "suspect"}
    assert refusal(world.student, "judge_meat", unfit, LATER) == ("why", "meat_why")
    do(world.student, "judge_meat", fit | {"organs": "sound", "edible_kg": 0.5}, LATER)
    do(world.student, "share_meat", eaten, LATER)
    more = eaten | {"kg": 0.3}
    assert refusal(world.student, "share_meat", more, LATER) == ("kg", "meat_more_than_edible")
    both = eaten | {"household": "the neighbours"}
    assert refusal(world.student, "share_meat", both, LATER) == ("household", "meat_one_eater")
    nobody = {"animal": animal, "use": "eaten", "kg": 0.1}
    assert refusal(world.student, "share_meat", nobody, LATER) == ("member", "meat_by_nobody")
    told = one(world, caught)
    assert (told.fit, told.eaten_kg, told.place) == (True, 0.3, "eaten")
    with team_scope(world.team):
        row = Portion.objects.get().id
    back = {"what": "portion", "row": row, "reason": "It was another’s."}
    do(world.student, "take_back", back, LATER)
    assert one(world, caught).place == "unsaid"


def test_a_sample_is_labelled_and_handed_in_once(world: World, caught: Caught) -> None:
    sample = {"sample": new_id(), "animal": caught.marten["animal"], "what": "tooth",
              "label": "L-1"}  # fmt: skip
    do(world.student, "take_sample", sample, LATER)
    again = sample | {"sample": new_id()}
    assert refusal(world.student, "take_sample", again, LATER) == ("what", "sample_twice")
    same = again | {"what": "head"}
    assert refusal(world.student, "take_sample", same, LATER) == ("label", "sample_label_twice")
    given = {"samples": [sample["sample"]], "to": "District office", "reference": "R-9"}
    early = LATER - timedelta(hours=1)
    assert refusal(world.student, "hand_in_samples", given, early) == ("at", "before_the_sample")
    do(world.student, "hand_in_samples", given, LATER)
    assert refusal(world.student, "hand_in_samples", given, LATER) == (
        "samples.0", "sample_handed_before"
    )  # fmt: skip
    back = {"what": "sample", "row": sample["sample"], "reason": "A mistake."}
    assert refusal(world.student, "take_back", back, LATER) == ("row", "sample_handed_before")
    with team_scope(world.team):
        told = [entry.what for entry in history_of(world.team, caught.marten["animal"])]
    assert told == ["sample", "handed_in"]


def test_the_food_table_is_the_teams_to_change(world: World) -> None:
    row = {"species": "marten", "kcal_per_100g": 150.0, "source": "our own"}
    assert refusal(world.student, "set_food_value", row) == ("species", "only_leaders")
    do(world.instructor, "set_food_value", row)


def test_a_sample_that_a_rule_asks_for_is_due_until_it_is_handed_in(world: World) -> None:
    """Invented rule. The end of 27 January in the line's zone (UTC-7): 6 January and 21 days."""
    rule = {"code": "tooth", "matter": "sample", "authority": "territory", "form": "of_catch",
            "species": ["marten"], "params": {"sample": "tooth", "days": 21}}  # fmt: skip
    take(world, rule)
    animal = season(world).marten["animal"]
    with team_scope(world.team):
        (asked,) = samples_asked(world.team)
    assert (asked.what, asked.animal, asked.sample) == ("tooth", animal, None)
    assert asked.due_at == datetime(2026, 1, 28, 7, tzinfo=UTC)
    sample = {"sample": new_id(), "animal": animal, "what": "tooth", "label": "L-1"}
    do(world.student, "take_sample", sample, LATER)
    with team_scope(world.team):
        assert [one.label for one in samples_asked(world.team, world.student.member)] == ["L-1"]
    given = {"samples": [sample["sample"]], "to": "District office"}
    do(world.student, "hand_in_samples", given, LATER)
    with team_scope(world.team):
        assert samples_asked(world.team) == []
        assert Duty.objects.get(kind="sample").state == "done"
