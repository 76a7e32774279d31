"""The device: allowed at all, of the size that is asked for, fit for what it is set for."""

import numpy as np

from trapline.findings.fit import TOLERANCE_M, FitRow
from trapline.findings.looking import Found, Looking, finding, where
from trapline.findings.models import FitWhat, Severity

SIZED = ("foothold_coil", "foothold_long", "body_gripping")


@finding("device_forbidden", Severity.STOP)
def device_forbidden(look: Looking) -> list[Found]:
    """A class of device that a rule allows nowhere like this."""
    rule = look.each(lambda _, answer: answer.forbidden, np.int64)
    return where(rule >= 0, {}, rule)


@finding("jaw_spread", Severity.STOP)
def jaw_spread(look: Looking) -> list[Found]:
    """Jaws that open less or more than a rule asks; measured inside at their widest."""
    spread = look.facts.jaw_spread_m
    low, low_rule, high, high_rule = look.bounds(lambda answer: answer.jaw)
    small = where(spread < low, {"jaw_spread_m": spread, "at_least_m": low}, low_rule, "small")
    large = where(spread > high, {"jaw_spread_m": spread, "at_most_m": high}, high_rule, "large")
    return small + large


@finding("jaw_spread_unknown", Severity.WATCH)
def jaw_spread_unknown(look: Looking) -> list[Found]:
    """A rule asks for a spread and the kind of device says none: measure it."""
    _, low_rule, _, high_rule = look.bounds(lambda answer: answer.jaw)
    asked = np.maximum(low_rule, high_rule)
    mask = np.isnan(look.facts.jaw_spread_m) & (asked >= 0) & look.is_class(*SIZED)
    return where(mask, {}, asked)


def of_targets(look: Looking, what: FitWhat) -> list[tuple[str, np.ndarray, np.ndarray]]:
    """Per target species of which the fit table says something here, its bounds as columns.

    No bound for a set of which it says none.
    """
    found = []
    for species in sorted({one for profile in look.profiles for one in profile.targets}):

        def row(device_class: str, targets: tuple[str, ...], about: str = species) -> FitRow | None:
            return look.fit.get((device_class, about, what)) if about in targets else None

        rows = [row(profile.device_class, profile.targets) for profile in look.profiles]
        if not any(rows):
            continue
        low = [-np.inf if one is None or one.from_m is None else one.from_m for one in rows]
        high = [np.inf if one is None or one.to_m is None else one.to_m for one in rows]
        number = look.profile_no
        found.append((species, np.array(low)[number], np.array(high)[number]))
    return found


@finding("device_too_small", Severity.MEND)
def device_too_small(look: Looking) -> list[Found]:
    """Smaller than what holds the target, by the device-fit table."""
    spread, found = look.facts.jaw_spread_m, []
    for species, low, _ in of_targets(look, FitWhat.HOLDS):
        numbers = {"jaw_spread_m": spread, "at_least_m": low}
        found += where(spread < low - TOLERANCE_M, numbers, what=species)
    return found


@finding("device_too_large", Severity.WATCH)
def device_too_large(look: Looking) -> list[Found]:
    """Larger than what the table has for the target."""
    spread, found = look.facts.jaw_spread_m, []
    for species, _, high in of_targets(look, FitWhat.HOLDS):
        numbers = {"jaw_spread_m": spread, "at_most_m": high}
        found += where(spread > high + TOLERANCE_M, numbers, what=species)
    return found


@finding("device_endangers", Severity.MEND)
def device_endangers(look: Looking) -> list[Found]:
    """So large, where it stands, that it endangers an animal that it must not take."""
    spread, found = look.facts.jaw_spread_m, []
    classes = {profile.device_class for profile in look.profiles}
    for row in look.fit.values():
        if row.what != FitWhat.ENDANGERS or row.from_m is None or row.device_class not in classes:
            continue
        mask = look.is_class(row.device_class) & (spread >= row.from_m)
        if row.placements:
            mask &= look.is_placed(*row.placements)
        if row.to_m is not None:
            mask &= spread <= row.to_m
        numbers = {"jaw_spread_m": spread, "from_m": row.from_m}
        found += where(mask, numbers, what=row.species)
    return found
