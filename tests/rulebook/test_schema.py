"""A document of the right shape, and every way of being wrong: path, reason and line."""

import json
from datetime import UTC, datetime

import pytest
from hypothesis import given, settings
from jsonschema import Draft202012Validator  # type: ignore[import-untyped]

from tests.rulebook.documents import Plain, documents, small
from tests.rulebook.wrong import WRONG, Spoil, rule
from trapline.calc.deadlines import FORMS
from trapline.ground.errors import Problem, Refused
from trapline.ground.words import known
from trapline.rulebook.schema import Document, read_document, read_text, schema_json


def problems(document: Plain) -> list[Problem]:
    with pytest.raises(Refused) as caught:
        read_document(document)
    return list(caught.value.problems)


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


# JSON Schema's patterns cannot say these.
_BEYOND_SHAPE = {
    "shape_timezone_aware",
    "shape_datetime_range",
    "shape_string_unicode",
    "shape_no_such_day",
}
_SHAPES = {
    what: spoil
    for what, spoil, _, code in WRONG
    if code.startswith("shape_") and code not in _BEYOND_SHAPE
}


@pytest.mark.parametrize("spoil", _SHAPES.values(), ids=_SHAPES)
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
