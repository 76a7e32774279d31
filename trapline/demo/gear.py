"""The demo's device kinds and parts. Masses, prices and sizes are invented unless a source is

named; no maker's number or name is used.
"""

from dataclasses import dataclass

POUND_FORCE_N = 4.4482216152605
# 920 lbf: 7x7 carbon steel, 3/32 in, MIL-W-83420 as FAA AC 43.13-1B table 7-3 gives it.
CABLE_N = 920 * POUND_FORCE_N
CABLE_SOURCE = "920 lbf: MIL-W-83420 (7x7, 3/32 in) in FAA AC 43.13-1B, table 7-3"


@dataclass(frozen=True)
class PartOf:
    """A kind of part as the team buys it."""

    role: str
    name: str
    mass_kg: float
    price: str
    diameter_m: float | None = None
    construction: str = ""
    breaking_load_n: float | None = None
    breaking_load_source: str = ""


PARTS = {
    "cable": PartOf(
        "cable", "Cable 2.4 mm, 7x7, 1.8 m", 0.043, "1.40", 0.0024, "7x7", CABLE_N, CABLE_SOURCE
    ),
    "lock": PartOf("lock", "Lock, bent washer", 0.011, "0.60"),
    # Swivels of 600 to 1,000 lbf go with such cable: common practice, no source.
    "swivel": PartOf(
        "swivel", "Swivel, 600 lbf", 0.014, "0.80", None, "", 600 * POUND_FORCE_N, "as bought"
    ),
    "support": PartOf("support", "Support wire, 0.7 m", 0.030, "0.30"),
    "breakaway": PartOf("breakaway", "Breakaway link", 0.004, "0.50"),
    "stop": PartOf("stop", "Stop, crimped", 0.003, "0.10"),
    "frame_s": PartOf("frame", "Frame, 12 cm", 0.210, "7.00"),
    "frame_l": PartOf("frame", "Frame, 25 cm", 0.620, "12.00"),
    "spring_s": PartOf("spring", "Spring, for 12 cm", 0.090, "2.50"),
    "spring_l": PartOf("spring", "Spring, for 25 cm", 0.210, "3.80"),
    "trigger": PartOf("trigger", "Trigger, two-pronged", 0.020, "1.20"),
    "jaws": PartOf("frame", "Jaws and base, 14 cm", 0.380, "11.00"),
    "coil": PartOf("spring", "Coil spring", 0.045, "1.60"),
    "dog": PartOf("dog", "Dog", 0.015, "0.90"),
    "pan": PartOf("pan", "Pan", 0.040, "1.90"),
    "chain": PartOf("chain", "Chain, 0.45 m", 0.130, "2.20"),
    "stake": PartOf("stake", "Stake, 0.6 m", 0.310, "3.00"),
}


@dataclass(frozen=True)
class KindOf:
    """A kind of device. `built`: part key -> how many, and what a catch does to each."""

    name: str
    device_class: str
    action: str
    skill: str
    mass_kg: float
    built: dict[str, tuple[int, str]]
    jaw_spread_m: float | None = None
    litres: float | None = None  # as it is carried


# A catch kinks the cable; lock and swivel go back to stock (common practice, no source).
_LOOP = {"cable": (1, "spent"), "lock": (1, "freed"), "swivel": (1, "freed")}


def _body(size: str) -> dict[str, tuple[int, str]]:
    return {f"frame_{size}": (1, "stays"), f"spring_{size}": (2, "stays"), "trigger": (1, "stays")}


KINDS = {
    "snare": KindOf(
        "Snare, 2.4 mm", "snare", "killing", "snare", 0.098, {**_LOOP, "support": (1, "stays")},
        litres=0.35,
    ),
    "restraint": KindOf(
        "Cable restraint, 2.4 mm", "cable_restraint", "holding", "cable_restraint", 0.075,
        {**_LOOP, "breakaway": (1, "freed"), "stop": (1, "spent")},
        litres=0.3,
    ),
    "foothold": KindOf(
        "Foothold, coil-spring, 14 cm", "foothold_coil", "holding", "foothold_coil", 1.02,
        {"jaws": (1, "stays"), "coil": (2, "stays"), "dog": (1, "stays"), "pan": (1, "stays"),
         "chain": (1, "stays"), "swivel": (2, "stays"), "stake": (1, "stays")},
        0.14, 1.5,
    ),
    "body_small": KindOf(
        "Body-gripping, 12 cm", "body_gripping", "killing", "body_gripping", 0.41, _body("s"),
        0.12, 0.8,
    ),
    "body_large": KindOf(
        "Body-gripping, 25 cm", "body_gripping", "killing", "body_gripping", 1.06, _body("l"),
        0.25, 2.4,
    ),
}  # fmt: skip
PREFIX = {
    "snare": "SN",
    "restraint": "CR",
    "foothold": "FH",
    "body_small": "BS",
    "body_large": "BL",
}
REMADE = ("snare", "restraint")  # whose cable a catch spends: another goes into the set
SPARES = {"snare": 3, "restraint": 4}  # ready at the cabin, for each line that has such sets
