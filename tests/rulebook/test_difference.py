"""What a rulebook would change, shown before it is taken in."""

from datetime import UTC, datetime

from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import given, settings

from tests.rulebook.conftest import Office
from tests.rulebook.documents import NEXT_SQUARE, SQUARE, Plain, book, documents, small, zone
from trapline.rulebook.difference import changes, difference
from trapline.rulebook.models import Version
from trapline.rulebook.schema import read_document

LATER = "2026-01-01T00:00:00Z"


def test_against_nothing_all_is_new(office: Office) -> None:
    diff = difference(office.team, read_document(small()))
    assert diff.against is None
    assert len(diff.rules.added) == 4
    assert [one.code for one in diff.zones.added] == ["W", "E"]
    assert not diff.rules.changed and not diff.rules.removed


def test_the_same_rulebook_again_changes_nothing(office: Office) -> None:
    office.take(read_document(small()))
    assert not difference(office.team, read_document(small(in_force_from=LATER)))


def test_what_comes_goes_and_is_altered_is_named_with_its_fields(office: Office) -> None:
    office.take(read_document(small()))
    new = small(in_force_from=LATER)
    del new["rules"][3]
    new["rules"][0]["params"]["hours"] = 36
    new["rules"][1] |= {"form": "each_day", "params": {}}
    new["rules"].append({**small()["rules"][3], "code": "marten-day", "params": {"count": 1}})
    new["species"][0]["card"] = "Gloves."
    new["authorities"][1]["name"] = "We"
    diff = difference(office.team, read_document(new))
    assert [rule.code for rule in diff.rules.added] == ["marten-day"]
    assert [rule.code for rule in diff.rules.removed] == ["marten-limit"]
    assert [(one.now.code, one.fields) for one in diff.rules.changed] == [
        ("office-24h", ("params",)),
        ("office-ice", ("form", "params")),
    ]
    assert diff.rules.changed[0].was.params.model_dump()["hours"] == 24
    assert [(one.now.code, one.fields) for one in diff.species.changed] == [("marten", ("card",))]
    assert [(one.now.code, one.fields) for one in diff.authorities.changed] == [("team", ("name",))]
    assert not diff.zones


def test_an_outline_is_compared_as_a_shape(office: Office) -> None:
    ring = SQUARE["coordinates"][0]
    turned = {
        "type": "MultiPolygon",
        "coordinates": [[[ring[2], ring[1], ring[0], ring[3], ring[2]]]],
    }
    office.take(book("2025-10-01T00:00:00Z", zone("W"), zone("E")))
    diff = difference(office.team, book(LATER, zone("W", turned), zone("E", NEXT_SQUARE)))
    assert [(one.now.code, one.fields) for one in diff.zones.changed] == [("E", ("area",))]


def test_it_is_held_against_the_version_it_would_take_over_from(office: Office) -> None:
    first = office.take(book("2025-10-01T00:00:00Z", zone("W")))
    office.take(book("2026-10-01T00:00:00Z"))
    diff = difference(office.team, book(LATER, zone("W")))
    assert diff.against == first
    assert diff.until == datetime(2026, 10, 1, tzinfo=UTC)
    assert not diff


def test_showing_it_writes_nothing_and_takes_two_statements(office: Office) -> None:
    office.take(read_document(small()))
    before = office.stamp()
    new = read_document(small(in_force_from=LATER, title="New"))
    with CaptureQueriesContext(connection) as seen:
        difference(office.team, new)
    assert len(seen) == 2
    assert (office.stamp(), Version.objects.count()) == (before, 1)


@settings(max_examples=50, deadline=None)
@given(documents(), documents())
def test_what_was_less_what_goes_and_more_what_comes_is_what_will_be(
    one: Plain, other: Plain
) -> None:
    was, now = read_document(one).rules, read_document(other).rules
    found = changes(was, now)
    after = {rule.code: rule for rule in was}
    for rule in found.removed:
        del after[rule.code]
    for change in found.changed:
        assert after[change.now.code] == change.was != change.now
        after[change.now.code] = change.now
    for rule in found.added:
        assert rule.code not in after
        after[rule.code] = rule
    assert after == {rule.code: rule for rule in now}
