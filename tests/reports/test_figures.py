"""The season in figures: counts by hand, shares with Wilson's limits, last season beside them."""

from datetime import date

import pytest

from tests.pages.cast import client_of
from tests.pages.reading import words
from tests.reports.season import season
from tests.world import World
from trapline.ground.scope import team_scope
from trapline.reports.season_figures import season_figures, season_of, year_before
from trapline.reports.period import Period

THIS = Period(date(2025, 7, 1), date(2026, 6, 30))


@pytest.mark.parametrize(
    ("day", "year"), [(date(2026, 6, 30), 2025), (date(2026, 7, 1), 2026), (date(2026, 1, 5), 2025)]
)
def test_a_season_is_the_year_from_july(day: date, year: int) -> None:
    assert season_of(day) == Period(date(year, 7, 1), date(year + 1, 6, 30))


def test_the_year_before_a_leap_day_ends_on_the_28th() -> None:
    assert year_before(Period(date(2024, 2, 29), date(2024, 3, 31))) == Period(
        date(2023, 2, 28), date(2023, 3, 31)
    )


@pytest.mark.django_db
def test_each_species_has_its_catch_effort_and_shares_with_limits(world: World) -> None:
    """A male marten taken; a female lynx let go, for which no set was made. Wilson's upper limit

    of 0 in 1 is z²/(1 + z²) = 3.8415/4.8415.
    """
    season(world)
    with team_scope(world.team):
        lynx, marten = season_figures(world.team, THIS)
        own = season_figures(world.team, THIS, member=world.instructor.member)
        later = season_figures(world.team, Period(date(2026, 7, 1), date(2027, 6, 30)))
    assert (marten.now.animals, marten.now.taken, marten.now.sets_looked_at) == (1, 1, 5)
    assert (marten.now.female.count, marten.now.female.of) == (0, 1)
    assert marten.now.female.limits is not None
    assert marten.now.female.limits.upper == pytest.approx(3.8415 / 4.8415, abs=1e-4)
    assert (lynx.now.taken, lynx.now.released, lynx.now.rate) == (0, 1, None)
    assert marten.before.animals == 0
    assert [(one.code, one.now.animals) for one in own] == [("marten", 0)]
    assert [(one.code, one.now.taken, one.before.taken) for one in later] == [
        ("lynx", 0, 0), ("marten", 0, 1)
    ]  # fmt: skip


@pytest.mark.django_db
def test_the_page_says_why_where_there_is_no_figure_and_gives_no_number_of_animals(
    world: World,
) -> None:
    season(world)
    said = words(
        client_of(world.student).get("/t/north/reports/figures/?first=2025-07-01&last=2026-06-30")
    )
    assert "0 of 1 (0 to 79 %)" in said
    assert "no set was made for it" in said
    assert "none taken" in said
    assert "No number of animals is given." in said
