"""The season in figures: effort, rate, shares of sex and age by species, last season beside them.

No number of what was there: a line is open, animals come and go, and effort differs from year to
year. Shares of the catch are shares of what the devices took.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from trapline.calc.devices import Share, share
from trapline.calc.rates import RateFigure
from trapline.ground import sql
from trapline.reports.grouped import grouped
from trapline.reports.period import Period

SEASON_BEGINS = (7, 1)  # a season is told by the year in which its July lies


@dataclass(frozen=True)
class Figures:
    """A species in one season. `nights` and `rate`: of sets made for it, None without a look.

    `female`: of the taken whose sex is known; `juvenile`: of those whose age class is.
    """

    animals: int
    taken: int
    released: int
    female: Share
    juvenile: Share
    sets_looked_at: int
    nights: float | None
    rate: RateFigure | None


@dataclass(frozen=True)
class Species:
    """A species in this season and in the one before."""

    code: str
    name: str
    now: Figures
    before: Figures


NOTHING = Figures(0, 0, 0, share(0, 0), share(0, 0), 0, None, None)


def season_of(day: date) -> Period:
    """The season in which a day lies: from 1 July to 30 June."""
    year = day.year if (day.month, day.day) >= SEASON_BEGINS else day.year - 1
    return Period(date(year, *SEASON_BEGINS), date(year + 1, 6, 30))


def year_before(period: Period) -> Period:
    """The same days a year before; 29 February becomes the 28th."""
    return Period(_a_year_back(period.first), _a_year_back(period.last))


def _a_year_back(day: date | None) -> date | None:
    if day is None:
        return None
    try:
        return day.replace(year=day.year - 1)
    except ValueError:
        return day.replace(year=day.year - 1, day=28)


def season_figures(team: UUID, period: Period, *, member: UUID | None = None) -> list[Species]:
    """Species by name, with the same days a year before. Both days are needed."""
    now, before = (_figures(team, days, member) for days in (period, year_before(period)))
    names = {code: name for code, (name, _) in {**before, **now}.items()}
    return [
        Species(code, name, now.get(code, ("", NOTHING))[1], before.get(code, ("", NOTHING))[1])
        for code, name in sorted(names.items(), key=lambda one: one[1].lower())
    ]


def _figures(team: UUID, period: Period, member: UUID | None) -> dict[str, tuple[str, Figures]]:
    values = {"team": team, "member": member, "first": period.first, "last": period.last}
    caught = {
        row[0]: row[1:]
        for row in sql.rows("trapline.reports", "season_figures", values, kept=False)
    }
    effort = {one.key: one for one in grouped(team, "species", period, member=member)}
    found = {}
    for code in {*caught, *effort}:
        group = effort.get(code)
        name, animals, taken, male, female, adult, juvenile, released = caught.get(
            code, ("", 0, 0, 0, 0, 0, 0, 0)
        )
        told = Figures(
            animals, taken, released, share(female, male + female),
            share(juvenile, adult + juvenile),
            0 if group is None else group.looks,
            None if group is None else group.nights,
            None if group is None else group.figure.rate,
        )  # fmt: skip
        found[code] = (name or (group.label if group else code), told)
    return found
