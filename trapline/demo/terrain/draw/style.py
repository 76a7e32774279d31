"""The two looks of the map: quiet paper and ink, and a dark one for a headlamp at night."""

from dataclasses import dataclass

from ..cover import Kind

Colour = tuple[int, int, int]


@dataclass(frozen=True)
class Style:
    """Colours as sRGB 0-255, strengths 0-1."""

    paper: Colour  # outside the map and around names
    ink: Colour  # the shadow's end
    glow: Colour  # the highlight's end
    shadow: float
    light: float
    tints: dict[Kind, Colour]
    lake: Colour
    shore: Colour
    creek: Colour
    contour: Colour
    contour_strength: float
    index_strength: float
    road: Colour
    core: Colour  # of the road
    trail: Colour
    building: Colour
    tuft: Colour
    neatline: Colour
    name: Colour
    water_name: Colour
    height_name: Colour
    halo: float  # how far the ground around a name is turned to `paper`
    strengths: dict[str, float]  # of a drawn layer, where it is not 1


LIGHT = Style(
    paper=(246, 242, 231),
    ink=(62, 68, 78),
    glow=(252, 249, 240),
    shadow=0.62,
    light=0.6,
    tints={
        Kind.OPEN: (236, 231, 218),
        Kind.SHRUB: (229, 229, 206),
        Kind.SPRUCE: (213, 220, 200),
        Kind.MIXED: (220, 225, 194),
        Kind.BURN: (224, 219, 197),
        Kind.MARSH: (213, 224, 214),
        Kind.LAKE: (213, 224, 214),
    },
    lake=(182, 201, 209),
    shore=(104, 132, 147),
    creek=(112, 143, 160),
    contour=(146, 104, 62),
    contour_strength=0.30,
    index_strength=0.56,
    road=(116, 84, 66),
    core=(250, 240, 214),
    trail=(98, 74, 62),
    building=(62, 54, 50),
    tuft=(110, 146, 146),
    neatline=(58, 66, 76),
    name=(58, 60, 62),
    water_name=(62, 94, 112),
    height_name=(128, 92, 58),
    halo=0.82,
    strengths={"tuft": 0.8, "shore": 0.9, "trail": 0.9},
)

DARK = Style(
    paper=(21, 23, 24),
    ink=(10, 11, 13),
    glow=(96, 98, 94),
    shadow=0.7,
    light=0.55,
    tints={
        Kind.OPEN: (52, 51, 48),
        Kind.SHRUB: (44, 47, 42),
        Kind.SPRUCE: (34, 41, 37),
        Kind.MARSH: (35, 46, 47),
        Kind.MIXED: (39, 45, 37),
        Kind.BURN: (42, 43, 38),
        Kind.LAKE: (35, 46, 47),
    },
    lake=(27, 42, 53),
    shore=(72, 98, 114),
    creek=(63, 90, 107),
    contour=(150, 122, 92),
    contour_strength=0.22,
    index_strength=0.42,
    road=(24, 22, 20),
    core=(150, 132, 104),
    trail=(158, 140, 116),
    building=(176, 164, 148),
    tuft=(66, 92, 94),
    neatline=(120, 118, 110),
    name=(186, 182, 172),
    water_name=(132, 166, 186),
    height_name=(158, 132, 104),
    halo=0.75,
    strengths={"tuft": 0.8, "shore": 0.9, "trail": 0.9},
)

STYLES = {"light": LIGHT, "dark": DARK}
