"""What the demo's season is made of: hazards per device and species. All of it is invented.

While nothing has happened at a set, a target animal, another animal and an empty springing each
come at a constant hazard per night. A set's own effect, gamma with mean 1, multiplies the target
hazard: places differ (`SHAPE` 2 gives a coefficient of variation of 0.71).
"""

from dataclasses import dataclass

SHAPE = 2.0
BURIED_CM, NOTICED_BURIED = 12.0, 0.8  # new snow that buries a foothold set, and how often it does
DRAGGED = 0.04  # of target animals in a device that holds: it goes off with it


@dataclass(frozen=True)
class Recipe:
    """A kind of set: what it is made of, and per 100 nights what comes to it."""

    kind: str  # of gear.KINDS
    target: float
    other: float
    empty: float
    others: dict[str, float]  # species of non-target animals, by weight
    bait: str
    anchoring: str
    loop_diameter_m: float | None = None
    loop_height_m: float | None = None
    water_depth_m: float | None = None


RECIPES = {
    "marten": Recipe(
        "body_small", 3.0, 0.3, 1.0, {"weasel": 0.8, "snowshoe_hare": 0.2},
        "beaver meat, lure above", "wired to the pole",
    ),
    "weasel": Recipe(
        "body_small", 4.0, 0.2, 1.5, {"marten": 0.6, "mink": 0.4}, "hare liver in the box",
        "box nailed to the stump",
    ),
    "mink": Recipe(
        "body_small", 2.6, 0.3, 1.2, {"muskrat": 0.7, "weasel": 0.3}, "fish, in the hole",
        "wired to a root",
    ),
    "muskrat": Recipe(
        "body_small", 5.0, 0.3, 1.5, {"mink": 0.8, "snowshoe_hare": 0.2}, "carrot",
        "pole pushed into the bank", water_depth_m=0.25,
    ),
    "otter": Recipe(
        "body_large", 0.9, 0.5, 0.8, {"beaver": 0.7, "muskrat": 0.3}, "", "two poles",
        water_depth_m=0.5,
    ),
    "beaver": Recipe(
        "body_large", 2.5, 0.4, 0.6, {"otter": 0.3, "muskrat": 0.7}, "aspen, peeled",
        "pole frozen in", water_depth_m=0.7,
    ),
    "lynx": Recipe(
        "snare", 2.6, 0.8, 1.0, {"snowshoe_hare": 0.7, "red_fox": 0.2, "wolverine": 0.1},
        "lure and flag", "wired to a spruce", 0.23, 0.25,
    ),
    "red_fox": Recipe(
        "foothold", 1.8, 0.7, 2.0,
        {"coyote": 0.4, "snowshoe_hare": 0.35, "golden_eagle": 0.1, "dog": 0.15},
        "bait buried, lure", "stake, cross-driven",
    ),
    "coyote": Recipe(
        "restraint", 2.4, 0.8, 1.8, {"red_fox": 0.6, "lynx": 0.25, "dog": 0.15}, "",
        "stake and swivel", 0.28, 0.25,
    ),
}  # fmt: skip

# Alive when found: in a device that holds, in a snare, in a body-gripping trap.
ALIVE = {"foothold": 0.97, "restraint": 0.95, "snare": 0.25, "body_small": 0.02, "body_large": 0.02}
SIGNS = {"target": 0.3, "other": 0.2, "weather": 0.15, "misfire": 0.1, "unknown": 0.25}
WEIGHT_KG = {
    "marten": 0.95, "weasel": 0.11, "mink": 0.95, "muskrat": 1.1, "otter": 8.5, "beaver": 17.0,
    "lynx": 10.0, "red_fox": 4.9, "coyote": 13.5, "snowshoe_hare": 1.4, "wolverine": 12.5,
    "golden_eagle": 4.4, "dog": 24.0,
}  # fmt: skip
SEALED = ("lynx", "otter")
HELD_WHERE = {
    "snare": ("neck",), "restraint": ("neck", "chest"), "foothold": ("front foot", "hind foot"),
    "body_small": ("neck", "chest"), "body_large": ("neck", "chest"),
}  # fmt: skip
