"""The story of the demo's season: believable, and the same for the same seed."""

from collections import Counter
from datetime import UTC, datetime, timedelta
from functools import cache
from math import sqrt

import pytest
from scipy import stats

from tests.demo.terrain.conftest import made
from trapline.demo import cast
from trapline.demo.gear import REMADE
from trapline.demo.rates import SHAPE
from trapline.demo.story import furs
from trapline.demo.story.deeds import Deed
from trapline.demo.story.finding import CAUSES, TARGET
from trapline.demo.story.season import TZ, in_this_year, season_of
from trapline.demo.story.tell import Story, tell

NOW = datetime(2026, 11, 25, 18, 20, tzinfo=UTC)  # 11:20 there
SEEDS = range(40, 56)
HOURS = range(1, 24, 2)


@cache
def told(seed: int, now: datetime = NOW, *, small: bool = False) -> Story:
    """The story of a seed, in one and the same valley: raising one takes some seconds."""
    return tell(made(11), seed, now, small=small)


def checks(story: Story) -> list[Deed]:
    return [deed for deed in story.deeds if deed.kind == "log_check"]


def test_the_same_seed_and_moment_tell_the_same_story_ids_and_all() -> None:
    again = tell(made(11), 40, NOW)
    assert again.deeds == told(40).deeds


def test_another_seed_tells_another() -> None:
    assert told(41).deeds != told(40).deeds


def test_the_full_story_has_sixty_sets_on_three_lines_and_twelve_people() -> None:
    story = told(40)
    placed = [deed for deed in story.deeds if deed.kind == "place_set"]
    assert len(placed) == 60
    assert len({deed.body["line"] for deed in placed}) == 3
    assert len(cast.PEOPLE) == 12
    roles = Counter(person.role for person in cast.PEOPLE)
    assert roles == {"manager": 2, "instructor": 3, "member": 7}


def test_deeds_are_in_the_order_in_which_they_came_in_and_none_lies_ahead() -> None:
    deeds = told(40).deeds
    arrivals = [deed.received_at for deed in deeds]
    assert arrivals == sorted(arrivals)
    assert all(deed.at <= deed.received_at for deed in deeds)
    assert max(arrivals) <= NOW + timedelta(minutes=1)


def test_no_number_is_used_twice_and_no_animal_caught_twice() -> None:
    for seed in SEEDS:
        caught = [one for deed in checks(told(seed)) for one in deed.body.get("catches", ())]
        for name in ("animal", "site_tag", "seal"):
            said = [one[name] for one in caught if one.get(name)]
            assert len(said) == len(set(said))


def test_all_but_the_newest_animals_are_told_of_to_the_end() -> None:
    for seed in (*SEEDS[:4], 11):
        deeds = told(seed).deeds
        taken = [
            (deed.received_at, one["animal"])
            for deed in deeds
            if deed.kind == "log_check"
            for one in deed.body.get("catches", ())
            if one["fate"] in furs.TAKEN
        ]
        moved = {one for deed in deeds if deed.kind == "move_pelts" for one in deed.body["animals"]}
        unsaid = sorted(one for one in taken if one[1] not in moved)
        today = season_of(seed, NOW).at(season_of(seed, NOW).today - 1, furs.EVENING)
        assert furs.UNSAID <= len(unsaid) <= furs.UNSAID + sum(at > today for at, _ in taken)
        assert unsaid == sorted(taken)[-len(unsaid) :]


def test_storms_leave_sets_not_reached_with_the_reason_said() -> None:
    missed = [
        deed for seed in SEEDS for deed in checks(told(seed)) if deed.body["found"] == "not_reached"
    ]
    assert missed
    for deed in missed:
        assert deed.body["reason"].startswith(("storm", "wind"))
    for seed in SEEDS:
        days = {
            told(seed).season.day_of(deed.at)
            for deed in checks(told(seed))
            if deed.body["found"] == "not_reached"
        }
        assert days <= told(seed).season.storms


def test_a_cable_that_caught_is_not_set_again() -> None:
    for seed in SEEDS:
        story = told(seed)
        kind_of = {stand.id: stand.recipe.kind for stand in story.stands}
        caught = [
            deed.body
            for deed in checks(story)
            if deed.body["found"] == "animal" and kind_of[deed.body["set"]] in REMADE
        ]
        assert all("new_device" in body or body["done"] == ["pulled"] for body in caught)


def pooled() -> tuple[Counter[tuple[str, str]], Counter[tuple[str, str]]]:
    """Over all seeds, by species of the set and cause: what was seen, what hazards add up to."""
    seen: Counter[tuple[str, str]] = Counter()
    expected: Counter[tuple[str, str]] = Counter()
    for seed in SEEDS:
        seen.update(told(seed).tally.seen)
        expected.update(told(seed).tally.expected)
    return seen, expected


def misfit(factor: float = 1.0) -> tuple[float, int]:
    """Pearson's chi-square of seen against put in, over the cells that expect ten or more.

    A count less its summed hazard is a martingale whose variance is that sum (Aalen 1978, Annals
    of Statistics 6:701), so each cell adds about one.
    """
    seen, expected = pooled()
    cells = [cell for cell, sum_of in expected.items() if sum_of >= 10]
    terms = [(seen[c] - factor * expected[c]) ** 2 / (factor * expected[c]) for c in cells]
    return sum(terms), len(cells)


def test_what_comes_out_lies_within_the_limits_of_the_hazards_put_in() -> None:
    square, cells = misfit()
    assert cells >= 15
    assert square < stats.chi2.ppf(0.999, cells)


@pytest.mark.parametrize("factor", [0.8, 1.25])
def test_the_same_limits_would_notice_hazards_a_quarter_off(factor: float) -> None:
    square, cells = misfit(factor)
    assert square > stats.chi2.ppf(0.999, cells)


def test_targets_of_each_kind_of_set_lie_within_poisson_limits() -> None:
    seen, expected = pooled()
    species = sorted({name for name, cause in expected if cause == TARGET})
    for name in species:
        low, high = stats.poisson.interval(1 - 0.001 / len(species), expected[name, TARGET])
        assert low <= seen[name, TARGET] <= high, name


def test_the_sets_own_effects_are_the_gamma_that_is_stated() -> None:
    effects = [stand.effect for seed in SEEDS for stand in told(seed).stands]
    fit = stats.kstest(effects, stats.gamma(SHAPE, scale=1 / SHAPE).cdf)
    assert fit.pvalue > 0.001
    assert stats.variation(effects) == pytest.approx(sqrt(1 / SHAPE), abs=0.06)


@pytest.mark.parametrize("small", [False, True])
@pytest.mark.parametrize("hour", HOURS)
def test_whatever_the_hour_an_animal_waits_and_some_sets_have_been_left_too_long(
    hour: int, small: bool
) -> None:
    now = datetime(2026, 7, 3, hour, 7, tzinfo=TZ).astimezone(UTC)
    story = told(40, now, small=small)
    ended = {deed.body["ends_waiting"] for deed in checks(story) if "ends_waiting" in deed.body}
    waiting = [
        deed
        for deed in story.deeds
        if deed.kind == "animal_waiting" and deed.body["waiting"] not in ended
    ]
    assert len(waiting) == 1
    assert now - timedelta(hours=24) < waiting[0].at < now
    alarmed = waiting[0].body["set"]
    left = [s for s in story.stands if s.left_from is not None and s.id != alarmed]
    assert 1 <= len(left) <= 3
    for stand in left:
        assert stand.holding and stand.active
        assert stand.last < now - timedelta(hours=24)


@pytest.mark.parametrize("day", range(0, 366, 5))
def test_whatever_the_day_the_land_season_opened_45_days_before(day: int) -> None:
    now = datetime(2028, 1, 1, 20, tzinfo=UTC) + timedelta(days=day)
    season = season_of(1, now)
    document = {
        "rules": [{"matter": "season", "params": {"opens_on": "11-01", "opens_by": "12:00"}}]
    }
    (rule,) = in_this_year(document, season)["rules"]
    month, number = (int(part) for part in rule["params"]["opens_on"].split("-"))
    opened = now.astimezone(TZ).date() - timedelta(days=45)
    leap_day = (opened.month, opened.day) == (2, 29)
    assert (month, number) == (opened.month, 28 if leap_day else opened.day)
    assert rule["params"]["opens_by"] == "12:00"


def test_each_cause_is_seen_somewhere() -> None:
    seen, _ = pooled()
    for cause in CAUSES:
        assert sum(count for (_, what), count in seen.items() if what == cause) > 0
