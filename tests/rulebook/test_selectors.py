"""What the rulebook says, each question in one statement."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django_scopes import ScopeError

from tests.rulebook.conftest import Office, make_office
from tests.rulebook.documents import book, small, zone
from trapline.ground.scope import team_scope
from trapline.rulebook import selectors
from trapline.rulebook.models import Version
from trapline.rulebook.schema import read_document

OCTOBER = datetime(2025, 10, 1, tzinfo=UTC)
DAY = timedelta(days=1)


def test_a_version_is_in_force_from_its_moment_until_the_next_ones(office: Office) -> None:
    first = office.take(book("2025-10-01T00:00:00Z"))
    second = office.take(book("2025-11-01T00:00:00Z"))
    november = OCTOBER + 31 * DAY
    just = timedelta(microseconds=1)
    for at, expected in (
        (OCTOBER - just, None),
        (OCTOBER, first),
        (november - just, first),
        (november, second),
        (november + 999 * DAY, second),
    ):
        assert selectors.version_in_force(office.team, at) == expected


def test_of_two_versions_of_one_moment_the_one_taken_in_later_is_in_force(office: Office) -> None:
    office.take(book("2025-10-01T00:00:00Z"))
    mended = office.take(book("2025-10-01T00:00:00Z", title="Mended"))
    assert selectors.version_in_force(office.team, OCTOBER) == mended


def test_a_version_taken_in_for_next_year_does_not_bind_before(office: Office) -> None:
    now = office.take(book("2025-10-01T00:00:00Z"))
    office.take(book("2026-10-01T00:00:00Z"))
    assert selectors.version_in_force(office.team, OCTOBER + 90 * DAY) == now


def test_the_rules_of_a_version_come_by_matter(office: Office) -> None:
    version = office.take(read_document(small()))
    office.take(book("2026-01-01T00:00:00Z"))
    found = [
        [rule.code for rule in asked(version.id)]
        for asked in (selectors.check_rules, selectors.seasons, selectors.limits)
    ]
    assert found == [["office-24h", "office-ice"], ["marten-season"], ["marten-limit"]]
    assert len(selectors.rules_of(version.id)) == 4


def test_species_cards_and_authorities_come_by_name(office: Office) -> None:
    office.take(read_document(small()))
    assert [one.name for one in selectors.species_cards(office.team)] == ["Eagle", "Marten"]
    assert [one.name for one in selectors.authorities(office.team)] == ["The office", "The team"]


def test_each_question_is_one_statement(office: Office) -> None:
    version = office.take(read_document(small()))
    office.take(book("2026-01-01T00:00:00Z", zone("W")))
    questions: list[Callable[[], Any]] = [
        lambda: selectors.version_in_force(office.team, OCTOBER + DAY),
        lambda: [one.title for one in selectors.versions(office.team)],
        lambda: [rule.authority.name for rule in selectors.rules_of(version.id)],
        lambda: [rule.authority.name for rule in selectors.check_rules(version.id)],
        lambda: [rule.authority.name for rule in selectors.seasons(version.id)],
        lambda: [rule.authority.name for rule in selectors.limits(version.id)],
        lambda: selectors.species_cards(office.team),
        lambda: selectors.authorities(office.team),
    ]
    for question in questions:
        with CaptureQueriesContext(connection) as seen:
            assert question()
        assert len(seen) == 1


def test_another_teams_rulebook_is_not_seen(office: Office) -> None:
    version = office.take(read_document(small()))
    other = make_office("hill")
    with team_scope(other.team):
        assert selectors.version_in_force(other.team, OCTOBER + DAY) is None
        assert selectors.version_in_force(office.team, OCTOBER + DAY) is None
        assert selectors.rules_of(version.id) == []
        assert selectors.species_cards(office.team) == []


@pytest.mark.django_db
def test_without_a_team_in_force_nothing_is_answered() -> None:
    with pytest.raises(ScopeError):
        Version.objects.count()
