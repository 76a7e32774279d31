"""Lives, chances and spares: what must hold whatever the parts."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom, nbinom, poisson_binom

from trapline.calc.wear.exposure import Lives, lives
from trapline.calc.wear.spares import Seasons, catches_to_come, enough, failures
from trapline.calc.wear.steps import steps
from trapline.calc.wear.weibull import Weibull, fit


def drawn(shape: float, scale: float, parts: int, until: float, seed: int = 7) -> Lives:
    """Parts whose true life is known; those that outlast `until` survive."""
    life = scale * np.random.default_rng(seed).weibull(shape, parts)
    return lives(np.minimum(life, until), life <= until)


def fitted(data: Lives, confidence: float = 0.95) -> Weibull:
    found = fit(data, confidence)
    assert found is not None
    return found


@pytest.mark.parametrize("failed", range(5))
def test_under_five_failures_there_is_no_curve_but_counts(failed: int) -> None:
    data = lives([10.0] * failed + [30.0] * 40, [True] * failed + [False] * 40)
    assert fit(data) is None
    assert (data.failures, data.survivors, data.total) == (failed, 40, 10 * failed + 1200)


def test_five_failures_are_enough_for_a_curve() -> None:
    assert fit(lives([10.0, 12, 15, 20, 21, 30, 30], [1, 1, 1, 1, 1, 0, 0])) is not None


def test_parts_that_all_failed_at_the_last_moment_fix_no_shape() -> None:
    assert fit(lives([12.0] * 6 + [3.0] * 4, [True] * 6 + [False] * 4)) is None


def test_a_part_that_came_bad_is_counted_apart_and_moves_no_curve() -> None:
    with_bad = lives([0, 0, 10.0, 12, 15, 20, 21, 30], [1, 1, 1, 1, 1, 1, 1, 0])
    assert (with_bad.failed_unused, with_bad.failures) == (2, 5)
    good = lives([10.0, 12, 15, 20, 21, 30], [1, 1, 1, 1, 1, 0])
    assert fitted(with_bad).scale == fitted(good).scale
    assert steps(with_bad).surviving.tolist() == steps(good).surviving.tolist()


@pytest.mark.parametrize(
    ("served", "failed"), [([-1.0], [True]), ([np.nan], [True]), ([1.0, 2.0], [True])]
)
def test_impossible_lives_are_refused_by_the_field(served: list[float], failed: list[bool]) -> None:
    with pytest.raises(ValueError, match="needed"):
        lives(served, failed)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 400), st.booleans()), min_size=5, max_size=60),
    st.floats(0.01, 1000),
)
def test_a_curve_falls_within_limits_that_hold_it_and_knows_no_unit(
    rows: list[tuple[int, bool]], unit: float
) -> None:
    served, failed = zip(*rows, strict=True)
    found = fit(lives(served, failed))
    if found is None:
        return
    band = found.surviving(np.linspace(0, 500, 40))
    assert (np.diff(band.value) <= 1e-12).all()
    assert band.value[0] == 1
    assert ((band.lower <= band.value) & (band.value <= band.upper)).all()
    chance = found.failing([0.0, 5, 50], [30.0, 30, 30])
    assert ((chance.lower <= chance.value) & (chance.value <= chance.upper)).all()
    scaled = fitted(lives(np.array(served) * unit, failed))
    assert scaled.shape == pytest.approx(found.shape, rel=1e-6)
    assert scaled.scale == pytest.approx(found.scale * unit, rel=1e-6)


def test_the_chance_given_an_age_is_what_the_two_survivals_say() -> None:
    found = fitted(drawn(2.0, 300, 80, 250))
    chance = found.failing([0.0, 120], [60.0, 60]).value
    s = found.surviving([60.0, 120, 180]).value
    assert chance == pytest.approx([1 - s[0], 1 - s[2] / s[1]], abs=1e-12)
    assert found.surviving(found.lasting(0.3).value).value == pytest.approx(0.7, abs=1e-12)


def test_where_parts_wear_out_the_older_one_is_likelier_to_fail() -> None:
    chance = fitted(drawn(2.5, 300, 100, 250)).failing(np.arange(0.0, 300, 10), 50.0).value
    assert (np.diff(chance) > 0).all()


def test_limits_of_95_per_cent_hold_the_truth_about_as_often() -> None:
    # 300 draws of 40 parts, about half failing: a binomial count with a standard error of 1.3 %.
    held = 0
    for seed in range(300):
        band = fitted(drawn(1.5, 200, 40, 190, seed)).surviving(100.0)
        held += float(band.lower) <= np.exp(-(0.5**1.5)) <= float(band.upper)
    assert 0.91 <= held / 300 <= 0.985


def test_steps_without_a_failure_are_none() -> None:
    found = steps(lives([10.0, 20], [False, False]))
    assert found.served.size == 0
    assert found.median is None


@settings(max_examples=100, deadline=None)
@given(st.lists(st.floats(0, 1), min_size=1, max_size=40))
def test_failures_are_the_convolution_of_each_parts_chance(chances: list[float]) -> None:
    found = failures(chances)
    want = poisson_binom.pmf(np.arange(len(chances) + 1), chances)
    assert found[: len(want)] == pytest.approx(want, abs=1e-9)


def test_parts_put_in_may_fail_too() -> None:
    # One part, chance 1/2, its follower 1/4 each time: P(0) = 1/2, P(n) = 1/2 (1/4)^(n-1) 3/4.
    found = failures([0.5], again=0.25)
    assert found[:4] == pytest.approx([0.5, 0.375, 0.09375, 0.0234375], abs=1e-9)


def test_the_spares_are_the_fewest_that_cover_the_season() -> None:
    found = failures([0.1] * 50)
    for chance in (0.5, 0.8, 0.9, 0.95, 0.99):
        assert enough(found, chance) == int(binom.ppf(chance, 50, 0.1))


def test_many_parts_are_convolved_without_loss() -> None:
    found = failures(np.full(5000, 0.2))
    assert found[:5001][900:1100] == pytest.approx(
        binom.pmf(np.arange(900, 1100), 5000, 0.2), abs=1e-9
    )


@pytest.mark.parametrize(("chances", "again"), [([1.2], 0), ([-0.1], 0), ([0.5], 1)])
def test_impossible_chances_are_refused(chances: list[float], again: float) -> None:
    with pytest.raises(ValueError, match="needed"):
        failures(chances, again)


def test_a_chance_of_one_cannot_be_bought() -> None:
    with pytest.raises(ValueError, match="between 0 and 1"):
        enough(failures([0.1]), 1.0)


def season(catches: list[int], nights: float, of: list[int] | None = None) -> Seasons:
    rows = np.array(catches, dtype=float)
    return Seasons(rows, np.full(len(rows), nights), of or [0] * len(rows))


def test_alike_sets_and_seasons_give_a_negative_binomial_of_the_means_own_doubt() -> None:
    # 40 catches on 2,000 nights, no more spread than Poisson: a gamma of shape 40.5 for the mean.
    found = catches_to_come(season([4] * 10, 200), [200.0] * 10)
    assert found is not None
    assert (found.sets_cv, found.seasons_cv) == (0, 0)
    assert (found.mean, found.shape) == pytest.approx((40.5, 40.5))
    assert found.enough(0.9) == int(nbinom.ppf(0.9, 40.5, 0.5))
    assert found.chance(found.enough(0.9)) >= 0.9 > found.chance(found.enough(0.9) - 1)


def test_unlike_sets_need_more_spares_than_alike_ones() -> None:
    alike = catches_to_come(season([4] * 10, 200), [200.0] * 10)
    unlike = catches_to_come(season([0, 0, 0, 0, 1, 1, 2, 6, 12, 18], 200), [200.0] * 10)
    assert alike is not None
    assert unlike is not None
    assert unlike.mean == pytest.approx(alike.mean)
    assert unlike.sets_cv > 0.8
    assert unlike.enough(0.9) > alike.enough(0.9)


def test_seasons_that_differ_need_more_spares_than_even_ones() -> None:
    seasons = [0] * 10 + [1] * 10 + [2] * 10
    even = catches_to_come(season([4] * 30, 200, seasons), [200.0] * 10)
    uneven = catches_to_come(season([1] * 10 + [4] * 10 + [7] * 10, 200, seasons), [200.0] * 10)
    assert even is not None
    assert uneven is not None
    assert uneven.seasons_cv > 0.3
    assert uneven.enough(0.9) > even.enough(0.9)


def test_no_catch_yet_is_no_promise_of_none() -> None:
    found = catches_to_come(season([0] * 10, 20), [20.0] * 10)
    assert found is not None
    assert found.mean == pytest.approx(0.5)
    assert found.enough(0.95) >= 1


def test_without_a_past_night_nothing_is_foretold() -> None:
    assert catches_to_come(Seasons(np.zeros(0), np.zeros(0), []), [200.0]) is None


def test_the_prediction_covers_seasons_as_often_as_it_says() -> None:
    # 60 pairs of a season past and one to come, gamma sets of CV 1: 90 % within 4 standard errors.
    rng, held = np.random.default_rng(11), 0
    for _ in range(60):
        rates = rng.gamma(1.0, 0.02, (2, 30))
        past, ahead = rng.poisson(rates * 60)
        found = catches_to_come(season(past.tolist(), 60), [60.0] * 30)
        assert found is not None
        held += int(ahead.sum()) <= found.enough(0.9)
    assert held / 60 >= 0.74
