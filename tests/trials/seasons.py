"""Simulated seasons with known rates: how often limits hold the truth, and how far fits stray."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from trapline.calc.effort import Intervals, Outcome, equal_rates, intervals
from trapline.calc.rates import RateFigure, target_rate
from trapline.calc.shrinkage import integrated

SHARES = np.array([0.5, 0.2, 0.3])  # target, non-target, sprung empty


@dataclass(frozen=True)
class Plan:
    """A season: sets, nights, nights between checks, target rate per night, how sets differ."""

    name: str
    sets: int
    nights: float
    every: float
    rate: float
    cv: float = 0.0
    failing: float = 0.0  # rate per night of going out of service by snow
    dated: float = 1.0  # share of failures whose night the record knows

    @property
    def expected(self) -> float:
        """Target events to be expected, with sets alike."""
        total = self.rate / SHARES[0]
        checks = self.sets * round(self.nights / self.every)
        return float(checks * SHARES[0] * -np.expm1(-total * self.every))


def season(plan: Plan, rng: np.random.Generator) -> Intervals:
    """One season of the plan."""
    checks = round(plan.nights / plan.every)
    shape = 1 / plan.cv**2 if plan.cv else 0
    effect = rng.gamma(shape, 1 / shape, plan.sets) if plan.cv else np.ones(plan.sets)
    owner = np.repeat(np.arange(plan.sets), checks)
    each = plan.rate / SHARES[0] * SHARES * effect[owner][:, None]
    waits = rng.exponential(1 / np.maximum(each, 1e-300))
    soonest = waits.min(axis=1)
    outcome = np.where(soonest > plan.every, Outcome.UNDISTURBED, 1 + waits.argmin(axis=1))
    served = np.full(len(owner), np.nan)
    if plan.failing:
        fails = rng.exponential(1 / plan.failing, len(owner))
        failed = (fails < plan.every) & (fails < soonest)
        outcome = np.where(failed, Outcome.OUT_OF_SERVICE, outcome)
        known = failed & (rng.random(len(owner)) < plan.dated)
        served = np.where(known, fails, np.nan)
    return intervals(np.full(len(owner), plan.every), outcome, served, owner)


@dataclass
class Tally:
    """Over seasons: figures given, how many held the truth, the mean of both fits."""

    seasons: int = 0
    given: int = 0
    held: int = 0
    methods: dict[str, int] = field(default_factory=dict)
    fitted: list[float] = field(default_factory=list)
    equal: list[float] = field(default_factory=list)
    bound: list[float] = field(default_factory=list)
    equal_held: int = 0

    @property
    def coverage(self) -> float:
        return self.held / self.given

    @property
    def equal_coverage(self) -> float:
        return self.equal_held / self.given

    def bias(self, truth: float) -> float:
        return float(np.mean(self.fitted)) / truth - 1

    def bound_bias(self, truth: float) -> float:
        """Of the equal-rate fit with undated failures taken to be at the end."""
        return float(np.mean(self.bound)) / truth - 1

    def equal_bias(self, truth: float) -> float:
        return float(np.mean(self.equal)) / truth - 1


def tally(plan: Plan, seasons: int, seed: int) -> Tally:
    """Run a plan so many times. Beside the figure stands the fit that takes sets for alike, with
    Poisson limits of its catches."""
    rng = np.random.default_rng(seed)
    told = Tally()
    for _ in range(seasons):
        data = season(plan, rng)
        _enter(told, plan, target_rate(data), data)
    return told


def _enter(told: Tally, plan: Plan, figure: RateFigure, data: Intervals) -> None:
    told.seasons += 1
    told.methods[figure.method] = told.methods.get(figure.method, 0) + 1
    if figure.rate is None or figure.lower is None or figure.upper is None:
        return
    told.given += 1
    told.held += figure.lower <= plan.rate <= figure.upper
    told.fitted.append(figure.rate)
    equal = equal_rates(data).by_cause[Outcome.TARGET]
    told.equal.append(equal)
    told.bound.append(equal_rates(data.in_service_throughout()).by_cause[Outcome.TARGET])
    wide = 1.96 / np.sqrt(max(figure.catches, 1))
    told.equal_held += equal * np.exp(-wide) <= plan.rate <= equal * np.exp(wide)


def shrinkage_coverage(members: int, cv: float, trials: int, seed: int) -> float:
    """How often integrated limits hold a member's true ratio."""
    rng = np.random.default_rng(seed)
    held = 0
    shape = 1 / cv**2
    for _ in range(trials):
        truth = rng.gamma(shape, 1 / shape, members)
        expected = rng.uniform(2, 15, members)
        found = integrated(rng.poisson(truth * expected), expected)
        held += sum(one.lower <= t <= one.upper for one, t in zip(found, truth, strict=True))
    return held / (trials * members)


ALIKE = Plan("alike, many", 40, 60, 3, 0.012)
ALIKE_FEW = Plan("alike, few", 30, 30, 3, 0.005)
UNLIKE = [Plan(f"unlike, every {n:g}", 60, 63, n, 0.03, cv=1.0) for n in (1.0, 3.0, 7.0)]
VERY_UNLIKE = Plan("very unlike, every 3", 60, 63, 3, 0.03, cv=2.5)
SNOWED_DATED = Plan("alike, snow dated", 40, 60, 3, 0.012, failing=0.05)
SNOWED_MIXED = Plan("alike, snow half dated", 40, 60, 3, 0.012, failing=0.05, dated=0.5)
SNOWED_UNLIKE = Plan("unlike, snow half dated", 60, 63, 3, 0.03, cv=1.0, failing=0.03, dated=0.5)
PLANS = [ALIKE, ALIKE_FEW, *UNLIKE, VERY_UNLIKE, SNOWED_DATED, SNOWED_MIXED, SNOWED_UNLIKE]
