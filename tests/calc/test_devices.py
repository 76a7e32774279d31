"""Shares of devices, and nights that vary line-wide."""

from __future__ import annotations

import numpy as np
import pytest

from tests.calc.test_effort import season
from trapline.calc.devices import PUBLISHED_EFFICIENCY, efficiency, share
from trapline.calc.effort import Outcome, intervals
from trapline.calc.rates import night_dispersion, target_rate, widened, wilson

QUIET, TARGET, OTHER, EMPTY, FAILED = Outcome


def test_efficiency_is_a_range_over_signs_that_nobody_could_read() -> None:
    found = efficiency(held=12, escaped=3, unknown=5)
    assert (found.least.share, found.most.share) == (12 / 20, 12 / 15)
    assert found.least.limits == wilson(12, 20)
    # The published criterion, as the programme's page gives it.
    assert PUBLISHED_EFFICIENCY == 0.60


def test_without_an_animal_at_it_a_device_has_no_efficiency() -> None:
    found = efficiency(0, 0, 4)
    assert found.least.share == 0 and found.most.share is None


def test_a_share_of_more_than_all_is_refused() -> None:
    with pytest.raises(ValueError, match="count"):
        share(3, 2)


def test_nights_that_vary_by_chance_alone_leave_the_limits_as_they_are() -> None:
    data = season(21)
    nights = np.arange(len(data.nights)) % 15
    assert night_dispersion(data, nights) == 1.0
    figure = target_rate(data)
    assert widened(figure, 1.0) is figure


def test_nights_when_all_animals_move_widen_the_limits() -> None:
    rng = np.random.default_rng(4)
    night = np.repeat(np.arange(30), 20)
    moving = np.repeat(rng.random(30) < 0.2, 20)
    hit = rng.random(600) < np.where(moving, 0.4, 0.02)
    data = intervals(np.ones(600), np.where(hit, TARGET, QUIET), None, np.tile(np.arange(20), 30))
    spread = night_dispersion(data, night)
    assert spread > 3
    narrow, wide = target_rate(data), widened(target_rate(data), spread)
    assert narrow.lower and wide.lower and narrow.upper and wide.upper
    assert wide.lower < narrow.lower < narrow.upper < wide.upper
    assert np.log(wide.upper / wide.lower) == pytest.approx(
        np.sqrt(spread) * np.log(narrow.upper / narrow.lower)
    )


@pytest.mark.parametrize("nights", [[1, 1, 2, 2], [1, 2, 3, 4]])
def test_a_few_nights_tell_nothing_of_how_nights_vary(nights: list[int]) -> None:
    data = intervals([1.0] * 4, [TARGET, QUIET, QUIET, TARGET])
    assert night_dispersion(data, nights) == 1.0
