"""Days, rates and shares in words, for pages and papers."""

from decimal import Decimal

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from trapline.calc.devices import Share
from trapline.calc.rates import RateFigure
from trapline.reports.period import Period
from trapline.reports.yields import MemberYield


def days_words(period: Period) -> str:
    """The days of a report in words."""
    first, last = (
        date_format(one, "j F Y") if one else None for one in (period.first, period.last)
    )
    if first and last:
        return _("From %(first)s to %(last)s, both included") % {"first": first, "last": last}
    if first:
        return _("From %(first)s on") % {"first": first}
    return _("Until %(last)s") % {"last": last} if last else _("The whole record")


def rate_words(row: MemberYield) -> str:
    """The rate per 100 trap-nights with its limits, or why there is no figure."""
    return _("no nights in service") if row.rate is None else figure_words(row.rate)


def _three_figures(value: float) -> str:
    """Rounded to three significant figures, and written without an exponent."""
    return format(Decimal(f"{value:.3g}"), "f")


def figure_words(rate: RateFigure) -> str:
    """The same for any rate."""
    if rate.method == "no_nights":
        return _("no nights in service")
    if rate.method == "too_disturbed":
        return _("no figure: check oftener or set more")
    values = {
        name: _three_figures(100 * value)
        for name, value in (("rate", rate.rate), ("low", rate.lower), ("high", rate.upper))
        if value is not None
    }
    if rate.method == "lower_only":
        return _("%(low)s or more") % values
    if rate.method == "alike_only":
        words = _(
            "%(rate)s with all sets taken for alike, likely too low; they differ too much for "
            "limits: look at them apart"
        )
        return words % values
    words = _("%(rate)s (%(low)s to %(high)s)") % values
    if rate.unlike:
        words += _("; the sets differ very much, so it may be further off: look at them apart")
    return words


def share_words(told: Share) -> str:
    """A share with its Wilson limits, in per cent, and what it was counted of."""
    if told.share is None or told.limits is None:
        return "–"
    words = _("%(n)s of %(of)s (%(low)s to %(high)s %%)") % {
        "n": told.count, "of": told.of, "low": f"{100 * told.limits.lower:.0f}",
        "high": f"{100 * told.limits.upper:.0f}",
    }  # fmt: skip
    return unbroken(words)


def unbroken(words: str) -> str:
    """No line begins with the sign for per cent."""
    return words.replace(" %", "\u00a0%")
