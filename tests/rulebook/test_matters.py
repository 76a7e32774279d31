"""Every matter a rule can be about: read, kept, said in words, given out as columns."""

from datetime import UTC, datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.rulebook.conftest import NOW, Office
from tests.rulebook.documents import Plain, small
from tests.rulebook.every_matter import EVERY, every_rule
from trapline.binding.matters import draft_rules, version_rules
from trapline.binding.world import World, version_at
from trapline.rulebook.models import Matter, Rule
from trapline.rulebook.schema import read_document
from trapline.rulebook.selectors import rules_of
from trapline.wording.rule_words import applies_words, rule_sentence


def test_there_is_an_example_of_every_matter() -> None:
    assert {matter for matter, *_ in EVERY} == set(Matter.values)


def test_each_is_kept_as_it_was_written_and_said_in_one_sentence(office: Office) -> None:
    version = office.take(read_document(small(rules=every_rule())))
    kept = {(rule.matter, rule.form): rule for rule in rules_of(version.id)}
    assert len(kept) == len(EVERY)
    for matter, form, params, sentence in EVERY:
        rule = kept[matter, form]
        assert params.items() <= rule.params.items()
        assert _spaced(rule_sentence(rule)) == sentence


@pytest.mark.parametrize(
    ("matter", "params", "sentence"),
    [
        ("device", {"at_most_m": 0.136525}, "Jaw spread at most 5.375 in."),  # 5 3/8 in
        ("setback", {"feature": "road", "at_least_m": 15.24}, "At least 50 ft from: Road."),
        (
            "part",
            {"role": "breakaway", "at_most_n": 1334.466},
            "Breakaway: gives way at 300 lbf at most.",
        ),
    ],
)
def test_a_limit_is_shown_unrounded_in_the_unit_it_was_written_in(
    matter: str, params: Plain, sentence: str
) -> None:
    form = {"device": "jaw_spread", "setback": "from_feature", "part": "strength"}[matter]
    rule = Rule(matter=matter, form=form, params=params)
    assert _spaced(rule_sentence(rule, "imperial")) == sentence


def test_effective_dates_are_kept_as_instants_and_said(office: Office) -> None:
    (rule,) = [one for one in every_rule() if one["matter"] == "tag"]
    rule |= {"holds_from": "2025-11-01T00:00:00+01:00", "holds_until": "2026-03-01T12:00:00Z"}
    version = office.take(read_document(small(rules=[rule])))
    (kept,) = rules_of(version.id)
    assert kept.holds_from == datetime(2025, 10, 31, 23, tzinfo=UTC)
    assert kept.holds_until == datetime(2026, 3, 1, 12, tzinfo=UTC)
    assert applies_words(kept, {}) == "from 31 Oct 2025 23:00 UTC · until 1 Mar 2026 12:00 UTC"


def test_a_version_gives_its_rules_as_columns_and_a_draft_gives_the_same(office: Office) -> None:
    document = read_document(small())
    version = office.take(document)
    version_rules.cache_clear()
    with CaptureQueriesContext(
        connection,
    ) as asked:
        rules = version_rules(version.id)
        again = version_rules(version.id)
    assert len(asked) == 1
    assert again is rules
    assert rules.codes == ("marten-limit", "marten-season", "office-24h", "office-ice")
    assert rules.replaces == ((3, 2),)
    assert [rules.authorities[number] for number in rules.authority] == ["team"] + 3 * ["office"]
    assert rules.zone_codes[3] == ("W",)
    assert (rules.from_day[3], rules.until_day[3]) == (1115, 401)
    assert rules.of("season", "limit") == [0, 1]
    draft = draft_rules(document)
    assert {**vars(draft), "ids": ()} == {**vars(rules), "ids": ()}
    assert len(set(draft.ids)) == 4


def test_the_version_of_a_world_is_the_teams_then_or_the_one_it_names(office: Office) -> None:
    first = office.take(read_document(small()))
    second = office.take(read_document(small(in_force_from="2025-12-01T00:00:00Z")))
    assert version_at(office.team, World(NOW)) == second.id
    assert version_at(office.team, World(datetime(2025, 11, 1, tzinfo=UTC))) == first.id
    assert version_at(office.team, World(NOW, first.id)) == first.id
    assert version_at(office.team, World(datetime(2020, 1, 1, tzinfo=UTC))) is None


def _spaced(text: str) -> str:
    """With plain spaces where number and unit are kept on one line."""
    return text.replace("\u00a0", " ")
