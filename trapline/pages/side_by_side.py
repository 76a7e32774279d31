"""Two groups of a yield page side by side, and one of them, or all, in two periods."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from django import forms
from django.http import HttpRequest
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.calc.compare import RateRatio
from trapline.ground.errors import Refused
from trapline.ground.words import sentence
from trapline.pages.fields import DayField
from trapline.pages.forms import PlainForm
from trapline.pages.words_of_figures import figure_words
from trapline.reports.period import Period
from trapline.reports.season_figures import year_before
from trapline.reports.side_by_side import Both, apart, compared, compared_periods

Choices = Sequence[tuple[str, str]]
DAYS = ("a_first", "a_last", "b_first", "b_last")
# In front of a group's key in an address: a key may be empty, which alone means all groups.
KEY = "="


class TwoPeriods(PlainForm):
    """Two spans of days that share none, and of which group; all groups if it is left open."""

    of = forms.ChoiceField(label=gettext_lazy("Of what"), required=False)
    a_first = DayField(label=gettext_lazy("First period, from"))
    a_last = DayField(label=gettext_lazy("First period, to"))
    b_first = DayField(label=gettext_lazy("Second period, from"))
    b_last = DayField(label=gettext_lazy("Second period, to"))

    def __init__(self, *args: Any, choices: Choices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        named = [(f"{KEY}{key}", label) for key, label in choices]
        self.fields["of"].choices = [("", _("All together")), *named]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        said = self.cleaned_data
        first, second = (self._period(f"{name}_first", f"{name}_last") for name in "ab")
        if first is not None and second is not None:
            try:
                apart(first, second)
            except Refused as error:
                self.show(*error.problems)
        return said | {"first": first, "second": second}

    def _period(self, first: str, last: str) -> Period | None:
        """The period of two fields; what is wrong with it stands at the later one."""
        if first not in self.cleaned_data or last not in self.cleaned_data:
            return None
        try:
            return Period(self.cleaned_data[first], self.cleaned_data[last])
        except Refused as error:
            for problem in error.problems:
                self.add_error(last if problem.field == "last" else first, sentence(problem))
        return None

    @property
    def key(self) -> str | None:
        """The group's key; None for all."""
        of = str(self.cleaned_data["of"])
        return of.removeprefix(KEY) if of else None


def two_groups(
    request: HttpRequest, team: UUID, by: str, period: Period, choices: Choices,
    member: UUID | None,
) -> dict[str, Any]:  # fmt: skip
    """What a page shows of two groups; `?a=` and `?b=` name them. One statement if they are."""
    first, second = request.GET.get("a"), request.GET.get("b")
    told: dict[str, Any] = {
        "first": first,
        "second": second,
        "asked_both": None not in (first, second),
    }
    if first is None or second is None:
        return told
    both = compared(team, by, period, first, second, member=member)
    if both is not None:
        labels = dict(choices)
        told["both"] = shown(both, labels.get(first, ""), labels.get(second, ""))
    return told


def two_periods(
    request: HttpRequest, team: UUID, by: str, period: Period, choices: Choices,
    member: UUID | None,
) -> dict[str, Any]:  # fmt: skip
    """What a page shows of two periods. Two statements if they are named."""
    asked = any(name in request.GET for name in DAYS)
    form = TwoPeriods(request.GET if asked else None, choices=choices, initial=_days_of(period))
    told: dict[str, Any] = {"periods": form}
    if asked and form.is_valid():
        said = form.cleaned_data
        both = compared_periods(team, by, form.key, said["first"], said["second"], member=member)
        told["of_periods"] = shown(both, _span(said["first"]), _span(said["second"]))
        told["of_what"] = dict(form.fields["of"].choices)[said["of"]]  # type: ignore[attr-defined]
    return told


def _days_of(period: Period) -> dict[str, Any]:
    """The page's own days and the same a year before, where it has both."""
    if period.first is None or period.last is None:
        return {}
    before = year_before(period)
    return {
        "a_first": period.first, "a_last": period.last, "b_first": before.first,
        "b_last": before.last,
    }  # fmt: skip


def _span(period: Period) -> str:
    return _("%(first)s to %(last)s") % {"first": period.first, "last": period.last}


def shown(both: Both, first: str, second: str) -> dict[str, Any]:
    """The two with what was counted of them, and what can be said of their rates."""
    sides = [
        {"label": label, "counted": one, "rate": figure_words(figure)}
        for label, one, figure in (
            (first, both.first, both.ratio.first), (second, both.second, both.ratio.second),
        )
    ]  # fmt: skip
    return {"sides": sides, "verdict": verdict_words(both.ratio)}


def verdict_words(both: RateRatio) -> str:
    """What can be said of two rates, in plain words."""
    if both.ratio is None or both.lower is None or both.upper is None:
        return _("No ratio: one of them has no figure, no catch or fewer than four sets.")
    limits = {"low": f"{both.lower:.2f}", "high": f"{both.upper:.2f}"}
    if both.verdict == "cannot_tell":
        return (
            _(
                "These checks cannot tell them apart: anything from %(low)s to %(high)s times the "
                "second’s rate fits."
            )
            % limits
        )
    words = _("The first’s rate is %(ratio)s times the second’s (%(low)s to %(high)s).")
    return words % {"ratio": f"{both.ratio:.2f}", **limits}
