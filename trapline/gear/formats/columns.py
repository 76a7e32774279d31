"""The columns of a file of gear, and which of them say something of which kind of row.

docs/gear-file.md describes each. SI, with the unit in the name.
"""

from collections.abc import Mapping, Sequence

from trapline.gear.models import AfterCatch, PartRole
from trapline.ground.errors import Problem

PART_KIND, DEVICE_KIND, DEVICE, PART = "part_kind", "device_kind", "device", "part"

OF_PART_KIND = (
    "name", "role", "diameter_m", "construction", "breaking_load_n", "breaking_load_source",
    "mass_kg", "price", "fewest", "life_nights",
)  # fmt: skip
OF_DEVICE_KIND = (
    "name", "device_class", "action", "skill", "built_of", "jaw_spread_m", "mass_kg", "volume_m3",
    "set_up_s", "check_s", "price",
)  # fmt: skip
OF_DEVICE = ("mark", "kind", "state", "place", "lent_to", "tag")
OF_PART = ("mark", "kind", "state", "why", "place", "device", "tag", "count")
TAKES: Mapping[str, tuple[str, ...]] = {
    PART_KIND: OF_PART_KIND,
    DEVICE_KIND: OF_DEVICE_KIND,
    DEVICE: OF_DEVICE,
    PART: OF_PART,
}
COLUMNS = (
    "what", "id", "name", "mark", "kind", "role", "device_class", "action", "skill", "built_of",
    "state", "why", "place", "device", "lent_to", "tag", "count", "diameter_m", "construction",
    "breaking_load_n", "breaking_load_source", "mass_kg", "volume_m3", "jaw_spread_m", "price",
    "fewest", "life_nights", "set_up_s", "check_s",
)  # fmt: skip
NEEDED = ("what",)
NUMBERS = (
    "count", "diameter_m", "breaking_load_n", "mass_kg", "volume_m3", "jaw_spread_m", "price",
    "fewest", "life_nights", "set_up_s", "check_s",
)  # fmt: skip
MOST_ROWS = 5000
OPTIONAL = "optional"


def built_of_text(parts: Sequence[Mapping[str, object]]) -> str:
    """What a kind of device is built of, as one cell: `cable 1 spent; lock 1 freed`."""
    return "; ".join(
        " ".join(
            [str(one["role"]), str(one["count"]), str(one["after_catch"])]
            + ([] if one["needed"] else [OPTIONAL])
        )
        for one in parts
    )


def built_of(text: str) -> list[dict[str, object]] | Problem:
    """The cell as parts: a role, then in any order a number, what a catch does, `optional`."""
    parts: list[dict[str, object]] = []
    for said in filter(None, (one.strip().lower() for one in text.split(";"))):
        role, *words = said.split()
        part: dict[str, object] = {
            "role": role, "count": 1, "needed": True, "after_catch": AfterCatch.STAYS.value,
        }  # fmt: skip
        for word in words:
            if word.isdecimal():
                part["count"] = int(word)
            elif word in AfterCatch.values:
                part["after_catch"] = word
            elif word == OPTIONAL:
                part["needed"] = False
            else:
                return Problem("built_of", "row_built_of", {"text": said[:40]})
        if role not in PartRole.values:
            return Problem("built_of", "row_built_of", {"text": said[:40]})
        parts.append(part)
    return parts
