"""A rate per 100 trap-nights as people read it: three figures, never an exponent."""

import pytest

from trapline.calc.rates import RateFigure
from trapline.pages.words_of_figures import figure_words


@pytest.mark.parametrize(
    ("rate", "lower", "upper", "words"),
    [
        (0.01234, 0.0056, 0.0278, "1.23 (0.56 to 2.78)"),
        (46.6, 12.04, 123.456, "4660 (1200 to 12300)"),
        (0.00001, 0.0000012, 0.00009, "0.001 (0.00012 to 0.009)"),
    ],
)
def test_a_rate_is_written_out(rate: float, lower: float, upper: float, words: str) -> None:
    figure = RateFigure(method="exact", catches=3, rate=rate, lower=lower, upper=upper)
    assert figure_words(figure) == words
