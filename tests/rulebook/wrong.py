"""Ways of being wrong: what, how a sound rulebook is spoiled, and the path and code it gets."""

import json
from collections.abc import Callable
from typing import Any

from tests.rulebook.documents import SQUARE, Plain

Spoil = Callable[[Plain], Any]


def rule(document: Plain, number: int = 0) -> Plain:
    found: Plain = document["rules"][number]
    return found


def ring(document: Plain) -> list[list[float]]:
    """The first zone's outer ring, of its own."""
    document["zones"][0]["area"] = json.loads(json.dumps(SQUARE))
    found: list[list[float]] = document["zones"][0]["area"]["coordinates"][0]
    return found


def asks(document: Plain, matter: str, form: str, **params: Any) -> None:
    """Make the first rule one of another matter, and the second stand on its own."""
    document["rules"][1]["instead_of"] = []
    rule(document).update(matter=matter, form=form, params=params)


WRONG: list[tuple[str, Spoil, str, str]] = [
    # What, how, the path and the code that it is refused with.
    ("another format", lambda d: d.update(format=2), "format", "shape_literal_error"),
    ("no title", lambda d: d.pop("title"), "title", "shape_missing"),
    ("an unknown field", lambda d: d.update(colour="red"), "colour", "shape_extra_forbidden"),
    (
        "a moment without its offset",
        lambda d: d.update(in_force_from="2025-10-01T00:00:00"),
        "in_force_from",
        "shape_timezone_aware",
    ),
    (
        "a moment as a number",
        lambda d: d.update(in_force_from=1_759_276_800),
        "in_force_from",
        "shape_datetime_type",
    ),
    (
        "a moment beyond what can be reckoned",
        lambda d: d.update(in_force_from="2200-01-01T00:00:00Z"),
        "in_force_from",
        "shape_datetime_range",
    ),
    (
        "an unknown kind of authority",
        lambda d: d["authorities"][1].update(kind="boss"),
        "authorities.1.kind",
        "shape_enum",
    ),
    (
        "a code with a space",
        lambda d: d["species"][0].update(code="pine marten"),
        "species.0.code",
        "shape_string_pattern_mismatch",
    ),
    (
        "a card with a control character",
        lambda d: d["species"][0].update(card="Stay\x00back"),
        "species.0.card",
        "shape_string_pattern_mismatch",
    ),
    (
        "half a wide character",
        lambda d: d["species"][0].update(card="\ud83d"),
        "species.0.card",
        "shape_string_unicode",
    ),
    (
        "a species twice",
        lambda d: d["species"].append({"code": "marten", "name": "Again"}),
        "species.2.code",
        "rulebook_code_twice",
    ),
    (
        "an unknown matter",
        lambda d: rule(d).update(matter="tax"),
        "rules.0.matter",
        "shape_union_tag_invalid",
    ),
    ("no matter", lambda d: rule(d).pop("matter"), "rules.0.matter", "shape_union_tag_not_found"),
    (
        "an unknown form",
        lambda d: rule(d).update(form="sometimes"),
        "rules.0.form",
        "shape_union_tag_invalid",
    ),
    ("no authority", lambda d: rule(d).pop("authority"), "rules.0.authority", "shape_missing"),
    (
        "an authority that is not in the file",
        lambda d: rule(d, 3).update(authority="king"),
        "rules.3.authority",
        "rulebook_unknown_authority",
    ),
    (
        "a zone that is not in the file",
        lambda d: rule(d).update(zones=["W", "X"]),
        "rules.0.zones.1",
        "rulebook_unknown_zones",
    ),
    (
        "a species that is not in the file",
        lambda d: rule(d, 2).update(species=["martin"]),
        "rules.2.species.0",
        "rulebook_unknown_species",
    ),
    (
        "an unknown device class",
        lambda d: rule(d).update(device_classes=["deadfall"]),
        "rules.0.device_classes.0",
        "shape_enum",
    ),
    (
        "an unknown placement",
        lambda d: rule(d).update(placements=["air"]),
        "rules.0.placements.0",
        "shape_enum",
    ),
    (
        "instead of a rule that is not there",
        lambda d: rule(d, 1).update(instead_of=["office-25h"]),
        "rules.1.instead_of.0",
        "rulebook_instead_unknown",
    ),
    (
        "instead of another authority's rule",
        lambda d: rule(d, 1).update(authority="team"),
        "rules.1.instead_of.0",
        "rulebook_instead_other_authority",
    ),
    (
        "instead of a rule on another matter",
        lambda d: rule(d, 1).update(instead_of=["marten-season"]),
        "rules.1.instead_of.0",
        "rulebook_instead_other_matter",
    ),
    (
        "instead of itself",
        lambda d: rule(d, 1).update(instead_of=["office-ice"]),
        "rules.1.instead_of.0",
        "rulebook_instead_circle",
    ),
    (
        "half a span of days",
        lambda d: rule(d, 1).pop("until_day"),
        "rules.1.until_day",
        "rulebook_half_a_span",
    ),
    (
        "a day that no year has",
        lambda d: rule(d, 1).update(until_day="02-30"),
        "rules.1.until_day",
        "shape_no_such_day",
    ),
    (
        "hours as text",
        lambda d: rule(d)["params"].update(hours="24"),
        "rules.0.params.hours",
        "shape_float_type",
    ),
    (
        "no hours at all",
        lambda d: rule(d)["params"].pop("hours"),
        "rules.0.params.hours",
        "shape_missing",
    ),
    (
        "hours below nothing",
        lambda d: rule(d)["params"].update(hours=-1),
        "rules.0.params.hours",
        "form_range",
    ),
    (
        "a parameter of another form",
        lambda d: rule(d)["params"].update(days=3),
        "rules.0.params.days",
        "shape_extra_forbidden",
    ),
    (
        "an hour that no clock shows",
        lambda d: rule(d)["params"]["no_tending"].update({"from": "24:00"}),
        "rules.0.params.no_tending.from",
        "shape_string_pattern_mismatch",
    ),
    (
        "a window of no length",
        lambda d: rule(d)["params"].update(no_tending={"from": "22:00", "to": "22:00"}),
        "rules.0.params.no_tending.to",
        "form_same",
    ),
    (
        "a season that closes as it opens",
        lambda d: rule(d, 2)["params"].update(closes_on="11-01"),
        "rules.2.params.closes_by",
        "rulebook_season_empty",
    ),
    (
        "a date that no calendar has",
        lambda d: rule(d, 2).update(
            form="once", params={"opens_on": "2025-11-01", "closes_on": "2026-02-29"}
        ),
        "rules.2.params.closes_on",
        "rulebook_no_such_date",
    ),
    (
        "a season backwards",
        lambda d: rule(d, 2).update(
            form="once", params={"opens_on": "2025-11-01", "closes_on": "2025-02-28"}
        ),
        "rules.2.params.closes_on",
        "rulebook_season_backwards",
    ),
    (
        "a limit below nothing",
        lambda d: rule(d, 3)["params"].update(count=-1),
        "rules.3.params.count",
        "shape_greater_than_equal",
    ),
    (
        "a point for a zone",
        lambda d: d["zones"][0].update(area={"type": "Point", "coordinates": [14, 62]}),
        "zones.0.area.type",
        "shape_union_tag_invalid",
    ),
    (
        "a ring of three positions",
        lambda d: ring(d).__delitem__(slice(1, 3)),
        "zones.0.area.coordinates.0",
        "shape_too_short",
    ),
    (
        "a ring that does not close",
        lambda d: ring(d).pop(),
        "zones.0.area.coordinates.0",
        "outline_open",
    ),
    (
        "latitude first",
        lambda d: ring(d).__setitem__(2, [62.1, 114.2]),
        "zones.0.area.coordinates.0.2",
        "outline_off_the_globe",
    ),
    (
        "a ring that crosses itself",
        lambda d: ring(d).__setitem__(slice(1, 3), [[14.2, 62.1], [14.2, 62.0]]),
        "zones.0.area.coordinates",
        "outline_invalid",
    ),
    (
        # RFC 7946, 3.1.9
        "an outline over the antimeridian in one piece",
        lambda d: d["zones"][0].update(
            area={
                "type": "Polygon",
                "coordinates": [[[179, 60], [-179, 60], [-179, 61], [179, 61], [179, 60]]],
            }
        ),
        "zones.0.area.coordinates.0",
        "outline_too_wide",
    ),
    (
        "a rule that ends before it holds",
        lambda d: rule(d).update(
            holds_from="2026-01-01T00:00:00Z", holds_until="2026-01-01T00:00:00Z"
        ),
        "rules.0.holds_until",
        "rulebook_holds_backwards",
    ),
    (
        "a jaw spread without a number",
        lambda d: asks(d, "device", "jaw_spread"),
        "rules.0.params.at_least_m",
        "rulebook_no_bound",
    ),
    (
        "a loop larger than its largest",
        lambda d: asks(d, "loop", "diameter", from_m=0.3, to_m=0.2),
        "rules.0.params.to_m",
        "form_order",
    ),
    (
        "a loop's height from nowhere",
        lambda d: asks(d, "loop", "height", from_m=0.3, edge="bottom"),
        "rules.0.params.datum",
        "shape_missing",
    ),
    (
        "a part that no device has",
        lambda d: asks(d, "part", "required", role="wheel"),
        "rules.0.params.role",
        "shape_enum",
    ),
    (
        "a setback of no metres",
        lambda d: asks(d, "setback", "from_feature", feature="trail", at_least_m=0),
        "rules.0.params.at_least_m",
        "shape_greater_than",
    ),
    (
        "a sign-off for nothing",
        lambda d: asks(d, "skill", "required", skills=[]),
        "rules.0.params.skills",
        "shape_too_short",
    ),
    (
        "forbidden hours from six to six",
        lambda d: asks(d, "tending", "forbidden_hours", **{"from": "06:00", "to": "06:00"}),
        "rules.0.params.to",
        "form_same",
    ),
    (
        "a tag that asks for something",
        lambda d: asks(d, "tag", "required", colour="red"),
        "rules.0.params.colour",
        "shape_extra_forbidden",
    ),
]
