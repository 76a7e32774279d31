"""Kinds of set, and how many of each a line bears.

Common practice, no source: marten on leaning poles in old spruce; mink, otter and muskrat at the
water's edge; beaver under the ice by a lodge; lynx, fox and coyote where cover meets open ground;
weasel in small boxes near brush and deadfall.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Recipe:
    """A kind of set: species and placement, the device that suits, and where it belongs."""

    species: str
    placement: str
    device_class: str
    site: str


MARTEN = Recipe("marten", "elevated", "body_gripping", "Leaning pole against a spruce")
ERMINE = Recipe("weasel", "elevated", "body_gripping", "Box on a stump among deadfall")
LYNX = Recipe("lynx", "land", "snare", "Trail pinched between two spruces at the cover's edge")
FOX = Recipe("red fox", "land", "foothold_coil", "Open rise at the cover's edge")
COYOTE = Recipe("coyote", "land", "cable_restraint", "Game trail along the cover's edge")
MINK = Recipe("mink", "water_edge", "body_gripping", "Hole under the cut bank")
MUSKRAT = Recipe("muskrat", "water_edge", "body_gripping", "Run in the sedge at the bank")
OTTER = Recipe("otter", "submersion", "body_gripping", "Narrow below the riffle")
BEAVER = Recipe("beaver", "under_ice", "body_gripping", "Run off the lodge")

RECIPES: tuple[tuple[tuple[Recipe, int], ...], ...] = (
    ((MINK, 6), (MUSKRAT, 2), (OTTER, 3), (BEAVER, 3), (MARTEN, 3), (LYNX, 1), (FOX, 2)),
    ((MARTEN, 10), (LYNX, 4), (ERMINE, 3), (COYOTE, 2), (FOX, 1)),
    ((MUSKRAT, 5), (BEAVER, 4), (MINK, 4), (OTTER, 1), (MARTEN, 3), (ERMINE, 1), (FOX, 2)),
)
