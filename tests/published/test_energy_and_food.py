"""Walking with a load, work at a set and the energy of meat against published figures."""

from __future__ import annotations

import pytest

from trapline.calc.energy import (
    AT_THE_SET_MET,
    KCAL_PER_HOUR_PER_WATT,
    TERRAINS,
    Leg,
    load_carriage_w,
    round_cost,
    soft_snow,
)
from trapline.calc.food import (
    KCAL_PER_G_FAT,
    KCAL_PER_G_PROTEIN,
    Meat,
    helping,
    net,
    together,
)


@pytest.mark.parametrize(
    ("body", "load", "eta", "speed", "grade", "watts"),
    [
        # Pandolf, Givoni and Goldman 1977, J. Appl. Physiol. 43:577-581. The equation is theirs;
        # the numbers were worked out from it by other hands (no published worked example found).
        (70, 0, 1, 1.34, 0, 293.538),
        (70, 20, 1, 1.34, 0, 362.100),
        (70, 20, 1.2, 1.34, 0, 410.581),
        (70, 30, 1.2, 1.2, 5, 652.935),
        (80, 20, 1, 1.5, 0, 470.000),
        (80, 0, 1, 1.2, 0, 292.800),
    ],
)
def test_walking_with_a_load_costs_what_the_equation_says(
    body: float, load: float, eta: float, speed: float, grade: float, watts: float
) -> None:
    assert load_carriage_w(body, load, speed, grade, eta) == pytest.approx(watts, abs=6e-4)


def test_standing_without_a_load_is_rest() -> None:
    assert load_carriage_w(70, 0, 0, 0, 1.0) == 105


def test_there_is_no_figure_for_going_downhill() -> None:
    with pytest.raises(ValueError, match="grade_percent"):
        load_carriage_w(70, 0, 1.0, -0.1, 1.0)


def test_terrain_where_published_tables_disagree_has_a_range() -> None:
    # Two published tables: bog 1.6 in one, swamp 3.5 in the other; loose sand 2.1 and 2.0.
    assert (TERRAINS["bog"].least, TERRAINS["bog"].most) == (1.6, 3.5)
    assert (TERRAINS["loose_sand"].least, TERRAINS["loose_sand"].most) == (2.0, 2.1)
    assert all(one.least <= one.eta <= one.most for one in TERRAINS.values())


def test_soft_snow_costs_more_the_deeper_the_foot_sinks() -> None:
    # 1.3 + 0.08 per cm, as published beside the table above.
    assert soft_snow(0).eta == TERRAINS["hard_snow"].eta
    assert soft_snow(10).eta == pytest.approx(2.1)
    with pytest.raises(ValueError, match="sunk_cm"):
        soft_snow(36)


def test_a_round_costs_its_legs_above_rest_and_the_work_at_the_sets() -> None:
    leg = Leg(4824.0, 1.34, 20, 0, TERRAINS["paved"])  # one hour
    cost = round_cost(70, [leg], hours_at_sets=0.5)
    walking = (362.100 - 105) * KCAL_PER_HOUR_PER_WATT
    # Compendium of Physical Activities 2011, code 04124: 2.0 MET, one of them rest.
    assert AT_THE_SET_MET == 2.0
    assert cost.kcal == pytest.approx(walking + 1.0 * 70 * 0.5, rel=1e-5)
    assert cost.hours == pytest.approx(1.5)
    assert cost.least == cost.kcal == cost.most
    boggy = round_cost(70, [Leg(4824.0, 1.34, 20, 0, TERRAINS["bog"])], 0)
    assert boggy.kcal == boggy.least < boggy.most


def test_tabled_meats_give_their_tabled_energy() -> None:
    # USDA food tables: raw muskrat 162 kcal per 100 g (45 per ounce), raw squirrel 120.
    assert helping(Meat(162), 0.0283495).kcal == pytest.approx(45, abs=1)
    assert helping(Meat(120, 21.23), 2.0).kcal == 2400


def test_squirrels_protein_and_fat_give_back_its_tabled_energy() -> None:
    # 21.23 g protein and 3.21 g fat per 100 g (USDA); 120 kcal in the same table.
    energy = 21.23 * KCAL_PER_G_PROTEIN + 3.21 * KCAL_PER_G_FAT
    assert energy == pytest.approx(120, abs=1)


def test_lean_meat_is_told_as_lean_however_many_calories_there_are() -> None:
    squirrel = helping(Meat(120, 21.23), 40.0)
    assert squirrel.protein_share == pytest.approx(21.23 * 4.27 / 120)
    assert squirrel.lean
    assert not helping(Meat(400, 20.0), 1.0).lean


def test_a_meat_of_unknown_protein_leaves_the_whole_unknown_and_never_well() -> None:
    both = together([helping(Meat(120, 21.23), 1.0), helping(Meat(162), 1.0)])
    assert both.kcal == 2820 and both.protein_share is None and both.lean
    known = together([helping(Meat(120, 21.23), 1.0), helping(Meat(400, 20.0), 1.0)])
    expected = (21.23 + 20.0) * 42.7 / 5200
    assert known.protein_share == pytest.approx(expected)
    assert together([]).protein_share is None


def test_a_rounds_food_less_its_cost_may_be_a_loss() -> None:
    assert net(500, 800, 4) == net(500, 800, 4)
    assert (net(500, 800, 4).kcal, net(500, 800, 4).kcal_per_hour) == (-300, -75)
    assert net(500, 0, 0).kcal_per_hour is None
    with pytest.raises(ValueError, match="hours"):
        net(1, 1, -1)
