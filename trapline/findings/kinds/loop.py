"""A snare's loop: as wide and as high as the rules and its target ask, over today's snow."""

import numpy as np

from trapline.calc.changing import change, height_now
from trapline.findings.facts import Bools, Floats, Ints
from trapline.findings.kinds.device import of_targets
from trapline.findings.looking import Found, Looking, finding, where
from trapline.findings.models import FitWhat, Severity

LOOPED = ("snare", "cable_restraint")
SLACK_M = 0.005  # a hand's measure of a loop is no better


def snow_change(look: Looking) -> Floats:
    """How much deeper the snow lies than when the loop was last hung; nan: not known.

    A reading that is older than the hanging tells of no change.
    """
    facts = look.facts
    newer = facts.snow_read_us > facts.arranged_us
    now = np.where(newer, facts.snow_now_m, facts.snow_then_m)
    return change(facts.snow_then_m, now, look.world.snow_m)


def bottom_now(look: Looking) -> Floats:
    """The loop's bottom over the first surface beneath, today: an estimate."""
    return height_now(look.facts.loop_height_m, snow_change(look))


def rise_of(look: Looking, datum: str) -> Floats:
    """How far what a height is measured from has risen since the loop was hung; nan: not known."""
    facts = look.facts
    if datum == "water":
        return change(facts.level_then_m, facts.level_now_m, look.world.water_m)
    return snow_change(look)


def heights(look: Looking, datum: str, edge: str) -> Floats:
    """The height that a rule speaks of: from its datum to the edge it names."""
    facts = look.facts
    height = height_now(facts.loop_height_m, rise_of(look, datum))
    if datum == "ground":
        depth = np.nan_to_num(
            np.where(facts.snow_read_us > facts.arranged_us, facts.snow_now_m, facts.snow_then_m)
        )
        height = height + depth + look.world.snow_m
    if edge == "top":
        height = height + facts.loop_diameter_m
    return height


@finding("loop_diameter", Severity.STOP)
def loop_diameter(look: Looking) -> list[Found]:
    """A loop narrower or wider than a rule asks."""
    wide = look.facts.loop_diameter_m
    low, low_rule, high, high_rule = look.bounds(lambda answer: answer.diameter)
    looped = look.is_class(*LOOPED)
    return _outside(wide, low, low_rule, high, high_rule, looped, "loop_diameter_m", "")


@finding("loop_height", Severity.MEND)
def loop_height(look: Looking) -> list[Found]:
    """A loop that hangs lower or higher than a rule asks, from its datum to its edge, today."""
    found = []
    asked = sorted({key for answer in look.asked for key in answer.heights})
    for datum, edge in asked:
        key = (datum, edge)
        bounds = look.bounds(lambda answer, key=key: answer.heights.get(key))  # type: ignore[misc]
        at = heights(look, datum, edge)
        mask = look.is_class(*LOOPED)
        rise = "level_change_m" if datum == "water" else "snow_change_m"
        extra = {
            "loop_height_m": look.facts.loop_height_m,
            rise: np.nan_to_num(rise_of(look, datum)),
        }
        found += _outside(at, *bounds, mask, "height_m", f"{datum}-{edge}", extra)
    return found


@finding("loop_unfit", Severity.MEND)
def loop_unfit(look: Looking) -> list[Found]:
    """A loop outside what the device-fit table has for the target."""
    wide, found, none = look.facts.loop_diameter_m, [], np.full(len(look.facts), -1)
    for species, low, high in of_targets(look, FitWhat.LOOP):
        mask = look.is_class(*LOOPED)
        found += _outside(wide, low, none, high, none, mask, "loop_diameter_m", species)
    return found


@finding("height_unfit", Severity.MEND)
def height_unfit(look: Looking) -> list[Found]:
    """A loop that hangs, over today's snow, outside what the table has for the target."""
    mask, found, none = look.is_class(*LOOPED), [], np.full(len(look.facts), -1)
    for species, low, high in of_targets(look, FitWhat.HEIGHT) if mask.any() else ():
        at = bottom_now(look)
        extra = {
            "loop_height_m": look.facts.loop_height_m,
            "snow_change_m": np.nan_to_num(snow_change(look)),
        }
        found += _outside(at, low, none, high, none, mask, "height_m", species, extra)
    return found


@finding("loop_not_measured", Severity.WATCH)
def loop_not_measured(look: Looking) -> list[Found]:
    """A rule asks for the loop's size or height and none was noted."""
    facts = look.facts
    _, low, _, high = look.bounds(lambda answer: answer.diameter)
    asked = np.maximum(low, high)
    wide = where(np.isnan(facts.loop_diameter_m) & (asked >= 0), {}, asked, "diameter")
    rule = look.each(
        lambda _, answer: max(
            (max(one.low_rule, one.high_rule) for one in answer.heights.values()), default=-1
        ),
        np.int64,
    )
    return wide + where(np.isnan(facts.loop_height_m) & (rule >= 0), {}, rule, "height")


def _outside(
    value: Floats,
    low: Floats,
    low_rule: Ints,
    high: Floats,
    high_rule: Ints,
    mask: Bools,
    name: str,
    what: str,
    extra: dict[str, Floats] | None = None,
) -> list[Found]:
    behind = f"{what}:" if what else ""
    numbers = {name: value, **(extra or {})}
    return [
        *where(mask & (value < low - SLACK_M), {**numbers, "at_least_m": low}, low_rule,
               f"{behind}low"),
        *where(mask & (value > high + SLACK_M), {**numbers, "at_most_m": high}, high_rule,
               f"{behind}high"),
    ]  # fmt: skip
