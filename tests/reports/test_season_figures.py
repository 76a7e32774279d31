"""The season in figures: counts by hand, shares with Wilson's limits, last season beside them."""

from datetime import date

import pytest

from tests.pages.cast import client_of
from tests.pages.reading import words
from tests.reports.season import season
from tests.world import World
from trapline.ground.scope import team_scope
from trapline.reports.form import read_form, shipped
from trapline.reports.occurrences import cell_of
from trapline.reports.period import Period
from trapline.reports.reconcile import fits_form
from trapline.reports.season_figures import season_figures, season_of, year_before

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


@pytest.mark.parametrize(
    ("asks", "first", "last", "fits"),
    [
        ("month", date(2026, 2, 1), date(2026, 2, 28), True),
        ("month", date(2026, 2, 1), date(2026, 2, 27), False),
        ("month", date(2026, 1, 1), date(2026, 2, 28), False),
        ("season", date(2025, 7, 1), date(2026, 6, 30), True),
        ("season", date(2024, 7, 1), date(2025, 7, 5), False),
        ("dates", date(2026, 2, 3), date(2026, 2, 4), True),
    ],
)
def test_a_form_about_a_month_or_a_season_takes_such_days_only(
    asks: str, first: date, last: date, fits: bool
) -> None:
    text = shipped()["animal-log"].replace("period: dates", f"period: {asks}")
    assert fits_form(read_form(text), Period(first, last)) is fits


@pytest.mark.django_db
def test_how_far_places_are_coarsened_is_chosen_on_a_page(world: World) -> None:
    browser = client_of(world.manager)
    assert browser.post("/t/north/reports/places/", {"cell": "0.0"}).status_code == 302
    with team_scope(world.team):
        assert cell_of(world.team) == 0.0
    assert browser.post("/t/north/reports/places/", {"cell": "7"}).status_code == 422
