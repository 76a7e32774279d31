"""One invented rule of each matter and form, with the sentence that says it in metric units."""

from typing import Any

Plain = dict[str, Any]

EVERY: list[tuple[str, str, Plain, str]] = [
    ("check", "within_hours", {"hours": 24}, "At most 24 hours after the last visit."),
    (
        "season",
        "each_year",
        {"opens_on": "11-01", "opens_by": "12:00", "closes_on": "02-15"},
        "Open from 1 Nov 12:00 to 15 Feb.",
    ),
    ("limit", "per_zone", {"count": 5}, "At most 5 for the zone in a season."),
    ("device", "forbidden", {}, "Such a device may not be set there."),
    ("device", "jaw_spread", {"at_most_m": 0.136525}, "Jaw spread at most 13.6525 cm."),
    ("loop", "diameter", {"from_m": 0.1, "to_m": 0.25}, "Loop diameter from 10 cm to 25 cm."),
    (
        "loop",
        "height",
        {"from_m": 0.3, "datum": "surface", "edge": "bottom"},
        "The loop’s bottom above the first surface beneath: at least 30 cm.",
    ),
    ("part", "required", {"role": "swivel"}, "It must have: Swivel."),
    (
        "part",
        "strength",
        {"role": "breakaway", "at_most_n": 1334.5},
        "Breakaway: gives way at 1334.5 N at most.",
    ),
    ("tag", "required", {}, "The device bears its owner’s tag."),
    ("bait", "not_in_view", {}, "No bait in view from above."),
    (
        "setback",
        "from_feature",
        {"feature": "trail", "at_least_m": 15.24},
        "At least 15.24 m from: Trail.",
    ),
    (
        "tending",
        "forbidden_hours",
        {"from": {"sun": "sunset", "offset_min": 60, "otherwise": "19:00"}, "to": "05:00"},
        "No tending from 60 min after sunset (19:00 where the sun has none) to 05:00.",
    ),
    (
        "skill",
        "required",
        {"skills": ["body-gripping"]},
        "Only who is signed off for: body-gripping.",
    ),
    (
        "supervision",
        "while_learning",
        {"how": "in_sight"},
        "Without the sign-off: supervised (In sight and voice).",
    ),
    (
        "agent",
        "may",
        {"tend": True, "carry": True, "paper": "A signed letter."},
        "Under another’s licence one may: tend, carry. With this paper: A signed letter.",
    ),
    (
        "report",
        "within_hours",
        {"of": "non_target", "hours": 12},
        "A non-target animal is reported within 12 hours.",
    ),
    (
        "report",
        "by_date",
        {"of": "harvest", "on": "04-15"},
        "The harvest report is filed by 15 Apr.",
    ),
    ("seal", "of_catch", {"what": "tag", "days": 14}, "Tagged within 14 days of catch."),
    (
        "seal",
        "of_close",
        {"what": "seal", "days": 10},
        "Sealed within 10 days of the season’s close.",
    ),
    (
        "sample",
        "of_catch",
        {"sample": "tooth", "days": 21, "office": "The district office"},
        "Handed in within 21 days of catch: Tooth. To: The district office.",
    ),
    (
        "sample",
        "of_close",
        {"sample": "carcass", "days": 10},
        "Handed in within 10 days of the season’s close: Skinned carcass.",
    ),
]


def every_rule(authority: str = "office") -> list[Plain]:
    """A rule of each, under codes made of matter and form."""
    return [
        {
            "code": f"{matter}-{form}".replace("_", "-"),
            "authority": authority,
            "matter": matter,
            "form": form,
            "params": params,
        }
        for matter, form, params, _ in EVERY
    ]
