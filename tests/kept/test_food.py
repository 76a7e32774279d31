"""Food: the shipped table against published figures, who ate what, and what the rounds cost.

Published: USDA food tables (Standard Reference), raw muskrat 162 kcal and raw squirrel 120 kcal
with 21.23 g of protein and 3.21 g of fat per 100 g. From memory: raw beaver 146, raw wild rabbit
114, and the fat of muskrat 8.1, beaver 4.8 and rabbit 2.32 g. Energy factors of meat: 4.27 and
9.02 kcal a gram (Merrill and Watt 1973). Load carriage: Pandolf, Givoni and Goldman 1977.
"""

from typing import Any

import pytest
from django.test import Client

from tests.pages.cast import client_of
from tests.pages.reading import words
from tests.record.acting import do
from tests.reports.season import Caught, local
from tests.world import World
from trapline.calc.food import KCAL_PER_G_FAT, KCAL_PER_G_PROTEIN
from trapline.ground.scope import team_scope
from trapline.kept.food import Food, food, food_table, rounds_of, shipped

LATER = local(9, 12)
TABLED = {"muskrat": (162, 8.1), "squirrel": (120, 3.21), "beaver": (146, 4.8),
          "snowshoe_hare": (114, 2.32)}  # fmt: skip


@pytest.mark.parametrize("species", TABLED)
def test_a_shipped_row_has_the_tabled_energy_and_its_protein_and_fat_give_it_back(
    species: str,
) -> None:
    kcal, fat_g = TABLED[species]
    row = shipped()[species]
    assert row.kcal_per_100g == kcal
    assert row.protein_g_per_100g is not None
    again = row.protein_g_per_100g * KCAL_PER_G_PROTEIN + fat_g * KCAL_PER_G_FAT
    assert again == pytest.approx(kcal, abs=1)


def test_every_row_says_where_it_is_from_and_roasted_meat_gives_no_raw_figure() -> None:
    assert all(row.source and row.status for row in shipped().values())
    assert shipped()["raccoon"].meat is None


def eaten(world: World, caught: Caught, **who: Any) -> Food:
    """Of the marten 0.4 kg are weighed; 0.25 kg go to whom is named, 0.05 kg to a household."""
    animal = caught.marten["animal"]
    fit = {"animal": animal, "fit": True, "organs": "sound", "edible_kg": 0.4}
    do(world.student, "judge_meat", fit, LATER)
    for use, kg, to in (("eaten", 0.25, who), ("given", 0.05, {"household": "the neighbours"}),
                        ("fed", 0.1, {})):  # fmt: skip
        do(world.student, "share_meat", {"animal": animal, "use": use, "kg": kg, **to}, LATER)
    with team_scope(world.team):
        table = food_table(world.team)
        return food(world.team, None, table, first=None, last=None)


@pytest.mark.django_db
def test_meat_without_a_figure_is_weighed_and_gives_no_energy(world: World, caught: Caught) -> None:
    told = eaten(world, caught, member=world.student.member)
    assert [(one.name, one.together.kcal, one.unknown) for one in told.eaters] == [
        ("Signe", 0, ("Marten",)), ("the neighbours", 0, ("Marten",))
    ]  # fmt: skip
    (meat,) = told.species
    assert (meat.taken, meat.fit, meat.weighed_kg) == (1, 1, 0.4)
    assert meat.went_kg == pytest.approx(0.3)
    assert told.lost_kg == 0.1


@pytest.mark.django_db
def test_a_row_of_the_teams_own_gives_the_energy_and_the_share_of_protein(
    world: World, caught: Caught
) -> None:
    row = {"species": "marten", "kcal_per_100g": 150.0, "protein_g_per_100g": 20.0,
           "source": "an invented row"}  # fmt: skip
    do(world.instructor, "set_food_value", row, LATER)
    told = eaten(world, caught, member=world.student.member)
    assert [round(one.together.kcal) for one in told.eaters] == [375, 75]
    assert told.eaten.protein_share == pytest.approx(20 * 4.27 / 150)
    assert told.eaten.lean


@pytest.mark.django_db
def test_a_round_is_a_members_looks_on_one_line_on_one_date(world: World, caught: Caught) -> None:
    with team_scope(world.team):
        (one,) = rounds_of(world.team, None, first=None, last=None)
        (own,) = rounds_of(world.team, world.student.member, first=None, last=None)
    # The student on 6, 7 and 8 January, the instructor on the 8th.
    assert (one.travel, one.rounds, one.looks, one.drawn) == ("snowshoe", 4, 5, 4)
    assert (own.rounds, own.looks) == (3, 4)


@pytest.mark.django_db
def test_what_the_rounds_cost_stands_beside_what_was_eaten(world: World, caught: Caught) -> None:
    """70 kg with 20 kg on gravel at 1.34 m/s: 410.581 W by the equation, 105 W of it rest."""
    browser: Client = client_of(world.manager)
    asked = "?rounds=2&way=4.824&hours=1&ground=gravel&grade=0&body_kg=70&load_kg=20&at_sets=0"
    said = words(browser.get(f"/t/north/animals/food/{asked}"))
    assert f"Spent above rest {2 * (410.581 - 105) * 0.860421:.0f} kcal" in said
    assert f"A day, with one round {-(410.581 - 105) * 0.860421:.0f} kcal" in said
    wrong = browser.get(f"/t/north/animals/food/{asked.replace('hours=1', 'hours=')}")
    assert wrong.status_code == 422
    assert "This is needed." in words(wrong)


@pytest.mark.django_db
def test_a_row_is_said_anew_on_its_page_with_its_source(world: World) -> None:
    browser = client_of(world.instructor)
    page = browser.get("/t/north/animals/food/table/row/?species=marten")
    act = page.context["form"].initial["act"]
    typed = {"act": act, "species": "marten", "kcal_per_100g": "150", "edible_percent": "30"}
    assert browser.post("/t/north/animals/food/table/row/", typed).status_code == 422
    typed["source"] = "Our own scale"
    assert browser.post("/t/north/animals/food/table/row/", typed).status_code == 302
    assert "150 – 30 % The team’s own Our own scale" in words(
        browser.get("/t/north/animals/food/table/")
    )
