"""A document of the right shape, and every way of being wrong: path, reason and line."""

import json
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest
from hypothesis import given, settings
from jsonschema import Draft202012Validator  # type: ignore[import-untyped]

from tests.rulebook.documents import SQUARE, Plain, documents, small
from trapline.calc.deadlines import FORMS
from trapline.ground.errors import Problem, Refused
from trapline.ground.words import known
from trapline.rulebook.schema import Document, read_document, read_text, schema_json

Spoil = Callable[[Plain], Any]


def problems(document: Plain) -> list[Problem]:
    with pytest.raises(Refused) as caught:
        read_document(document)
    return list(caught.value.problems)


def rule(document: Plain, number: int = 0) -> Plain:
    found: Plain = document["rules"][number]
    return found


def ring(document: Plain) -> list[list[float]]:
    """The first zone's outer ring, of its own."""
    document["zones"][0]["area"] = json.loads(json.dumps(SQUARE))
    found: list[list[float]] = document["zones"][0]["area"]["coordinates"][0]
    return found


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
]


@pytest.mark.parametrize(
    ("spoil", "field", "code"), [row[1:] for row in WRONG], ids=[row[0] for row in WRONG]
)
def test_it_is_refused_with_path_reason_line_and_a_sentence(
    spoil: Spoil, field: str, code: str
) -> None:
    assert read_document(small())  # the same rulebook unspoiled is taken
    document = small()
    spoil(document)
    (problem,) = problems(document)
    assert (problem.field, problem.code) == (field, code)
    assert known(code)
    if code == "shape_string_unicode":
        return  # no file can hold it
    text = json.dumps(document, indent=1)
    with pytest.raises(Refused) as caught:
        read_text(text.encode())
    (found,) = caught.value.problems
    assert (found.field, found.code) == (field, code)
    assert 1 <= found.values["line"] <= text.count("\n") + 1


def test_all_problems_of_a_file_are_named_at_once_each_on_its_own_line() -> None:
    raw = b"""format: 1
title: Two mistakes
in_force_from: 2025-10-01T00:00:00Z
authorities: [{code: a, name: A, kind: state}]
rules:
  - code: one
    authority: b
    matter: check
    form: within_hours
    params: {hours: 0}
  - code: two
    authority: a
    matter: check
    form: each_day
    zones:
      - north
"""
    with pytest.raises(Refused) as caught:
        read_text(raw)
    assert [(p.field, p.values["line"]) for p in caught.value.problems] == [
        ("rules.0.authority", 7),
        ("rules.1.zones.0", 16),
        ("rules.0.params.hours", 10),
    ]


def test_what_is_missing_is_placed_where_it_should_have_stood() -> None:
    raw = b"format: 1\ntitle: x\nin_force_from: 2025-10-01T00:00:00Z\nspecies:\n\n  - code: a\n"
    with pytest.raises(Refused) as caught:
        read_text(raw)
    (problem,) = caught.value.problems
    assert (problem.field, problem.values["line"]) == ("species.0.name", 6)


def test_two_rules_may_not_stand_instead_of_each_other_round_a_corner() -> None:
    document = small()
    rule(document, 0)["instead_of"] = ["office-ice"]
    assert {p.code for p in problems(document)} == {"rulebook_instead_circle"}


def test_a_thousand_mistakes_are_refused_with_the_first_hundred() -> None:
    document = small(species=[{"code": f"s{n}"} for n in range(1000)])
    assert len(problems(document)) == 100


def test_clock_times_and_days_need_no_quotes_in_yaml() -> None:
    raw = b"""{format: 1, title: t, in_force_from: 2025-10-01T00:00:00Z,
    authorities: [{code: a, name: A, kind: team}],
    rules: [{code: r, authority: a, matter: check, form: each_day, from_day: 11-01,
      until_day: 12-31, params: {by: 22:00, no_tending: {from: 22:00, to: 05:00}}}]}"""
    (found,) = read_text(raw).rules
    assert found.matter == "check"
    assert found.from_day == "11-01"
    assert found.params.model_dump(by_alias=True, exclude_none=True) == {
        "by": "22:00",
        "no_tending": {"from": "22:00", "to": "05:00"},
    }


def test_line_breaks_from_a_form_become_plain_ones() -> None:
    document = small()
    document["species"][0]["card"] = "Stay back.\r\nGloves."
    assert read_document(document).species[0].card == "Stay back.\nGloves."


@settings(max_examples=50, deadline=None)
@given(documents())
def test_any_sound_rulebook_is_read_and_its_plain_form_is_the_same_rulebook(plain: Plain) -> None:
    document = read_document(plain)
    assert read_document(document.plain()) == document
    assert read_document(json.loads(json.dumps(document.plain()))) == document


def test_the_published_schema_is_a_json_schema_and_names_every_form() -> None:
    schema = schema_json()
    Draft202012Validator.check_schema(schema)  # json-schema.org/draft/2020-12
    text = json.dumps(schema)
    assert all(f'"const": "{form}"' in text for form in FORMS)
    assert '"description"' in text


@settings(max_examples=50, deadline=None)
@given(documents())
def test_the_published_schema_takes_every_sound_rulebook(plain: Plain) -> None:
    Draft202012Validator(schema_json()).validate(plain)
    Draft202012Validator(schema_json()).validate(read_document(plain).plain())


@pytest.mark.parametrize(
    "spoil",
    [
        row[1]
        for row in WRONG
        if row[3].startswith("shape_")
        and row[3]
        not in {
            "shape_timezone_aware",
            "shape_datetime_range",
            "shape_string_unicode",
            "shape_no_such_day",
        }
    ],
    ids=[
        row[0]
        for row in WRONG
        if row[3].startswith("shape_")
        and row[3]
        not in {
            "shape_timezone_aware",
            "shape_datetime_range",
            "shape_string_unicode",
            "shape_no_such_day",
        }
    ],
)
def test_the_published_schema_refuses_what_has_the_wrong_shape(spoil: Spoil) -> None:
    validator = Draft202012Validator(schema_json())
    assert validator.is_valid(small())
    document = small()
    spoil(document)
    assert not validator.is_valid(document)


def test_a_document_cannot_be_made_unsound_by_building_it_from_parts() -> None:
    sound = read_document(small())
    with pytest.raises(Refused):
        Document(
            format=1,
            title="x",
            in_force_from=datetime(2025, 10, 1, tzinfo=UTC),
            rules=sound.rules,  # without the authorities and zones that they name
        )
