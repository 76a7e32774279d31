"""Snow: what a fall has buried since the set was last arranged. An estimate: measure here."""

from trapline.calc.changing import BURIES_M
from trapline.findings.kinds.loop import LOOPED, bottom_now, snow_change
from trapline.findings.looking import Found, Looking, finding, where
from trapline.findings.models import Severity

ON_GROUND = ("foothold_coil", "foothold_long", "body_gripping")


@finding("snowed_in", Severity.MEND)
def snowed_in(look: Looking) -> list[Found]:
    """A foothold or body-gripping set on the ground under a fall that buries it."""
    mask = look.is_class(*ON_GROUND) & look.is_placed("land", "water_edge")
    if not mask.any():
        return []
    deeper = snow_change(look)
    return where(mask & (deeper >= BURIES_M - 1e-9), {"snow_change_m": deeper, "from_m": BURIES_M})


@finding("loop_snowed_in", Severity.MEND)
def loop_snowed_in(look: Looking) -> list[Found]:
    """A loop whose bottom the snow has reached."""
    mask = look.is_class(*LOOPED) & ~look.is_placed("under_ice", "submersion")
    if not mask.any():
        return []
    at = bottom_now(look)
    numbers = {
        "height_m": at, "loop_height_m": look.facts.loop_height_m,
        "snow_change_m": snow_change(look),
    }  # fmt: skip
    return where(mask & (at <= 0), numbers)
