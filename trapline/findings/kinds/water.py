"""Water and ice. A figure here is a reading and its age; none ever says that ice is safe."""

import numpy as np

from trapline.calc.changing import change, depth_now
from trapline.findings.facts import Floats
from trapline.findings.kinds.device import of_targets
from trapline.findings.looking import Found, Looking, finding, where
from trapline.findings.models import FitWhat, Severity

UNDER = ("submersion", "under_ice")
HOLDS = ("foothold_coil", "foothold_long")  # what drowns by holding under, not by itself


def depths(look: Looking) -> tuple[Floats, Floats]:
    """Water over the device today, an estimate, and the level's change since it was measured."""
    facts = look.facts
    moved = change(facts.level_then_m, facts.level_now_m, look.world.water_m)
    return depth_now(facts.water_depth_m, moved), moved


@finding("not_submerged", Severity.STOP)
def not_submerged(look: Looking) -> list[Found]:
    """No longer under water: it stands on land now, and another rule binds it."""
    under = look.is_placed(*UNDER)
    if not under.any():
        return []
    depth, moved = depths(look)
    numbers = {
        "depth_m": depth, "measured_m": look.facts.water_depth_m,
        "level_change_m": np.nan_to_num(moved), "read_us": look.facts.level_read_us,
    }  # fmt: skip
    return where(under & (depth <= 0), numbers)


@finding("too_shallow", Severity.MEND)
def too_shallow(look: Looking) -> list[Found]:
    """Too little water to hold the target under, by the device-fit table."""
    under, found = look.is_placed(*UNDER), []
    for species, low, _ in of_targets(look, FitWhat.DEPTH) if under.any() else ():
        depth, moved = depths(look)
        numbers = {
            "depth_m": depth, "at_least_m": low, "measured_m": look.facts.water_depth_m,
            "level_change_m": np.nan_to_num(moved), "read_us": look.facts.level_read_us,
        }  # fmt: skip
        mask = under & (depth < low) & (depth > 0)
        found += where(mask, numbers, what=species)
    return found


@finding("drowner_not_confirmed", Severity.WATCH)
def drowner_not_confirmed(look: Looking) -> list[Found]:
    """A holding device meant to hold under, with no slide lock or end weight noted."""
    mask = look.is_placed(*UNDER) & look.is_class(*HOLDS) & ~look.facts.anchored
    return where(mask)


@finding("depth_not_measured", Severity.WATCH)
def depth_not_measured(look: Looking) -> list[Found]:
    """Under water, and nobody noted how deep."""
    mask = look.is_placed(*UNDER) & look.is_class(*HOLDS) & np.isnan(look.facts.water_depth_m)
    return where(mask)


@finding("ice_gone", Severity.STOP)
def ice_gone(look: Looking) -> list[Found]:
    """Set under ice, and the last reading found none: another placement, another rule."""
    facts = look.facts
    numbers = {"ice_m": facts.ice_m, "read_us": facts.ice_read_us}
    return where(look.is_placed("under_ice") & (facts.ice_m <= 0), numbers)


@finding("ice_come", Severity.MEND)
def ice_come(look: Looking) -> list[Found]:
    """Set in open water, and the last reading found ice. It says nothing of its strength."""
    facts = look.facts
    numbers = {"ice_m": facts.ice_m, "read_us": facts.ice_read_us}
    after = facts.ice_read_us > facts.arranged_us
    return where(look.is_placed("submersion", "water_edge") & (facts.ice_m > 0) & after, numbers)
