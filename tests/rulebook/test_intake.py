"""Taking a rulebook in: what is written, what is kept, and what it costs."""

from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from datetime import UTC, datetime
from threading import Barrier, BrokenBarrierError
from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction
from django.db.utils import ProgrammingError
from django.test.utils import CaptureQueriesContext
from hypothesis import given, settings

from tests.rulebook.conftest import Office, make_office
from tests.rulebook.documents import SQUARE, Plain, book, documents, small, zone
from trapline.calc.deadlines import from_params
from trapline.ground.scope import team_scope
from trapline.rulebook import intake, selectors
from trapline.rulebook.export import document_of, to_yaml
from trapline.rulebook.models import Authority, Rule, Species, Version
from trapline.rulebook.schema import read_document, read_text


def test_a_version_is_written_whole_with_its_rules(office: Office) -> None:
    document = read_document(small())
    version = office.take(document)
    assert (version.number, version.title) == (1, "A small invented rulebook")
    assert version.at == datetime(2025, 9, 30, 22, 0, tzinfo=UTC)
    rules = {rule.code: rule for rule in Rule.objects.filter(version=version)}
    assert set(rules) == {"office-24h", "office-ice", "marten-season", "marten-limit"}
    ice = rules["office-ice"]
    assert (ice.matter, ice.form, ice.params) == ("check", "within_hours", {"hours": 72.0})
    assert (ice.placements, ice.zone_codes, ice.actions) == (["under_ice"], ["W"], [])
    assert (ice.from_day, ice.until_day) == (1115, 401)
    assert ice.instead_of == ["office-24h"]
    assert ice.at == version.at
    assert ice.authority.code == "office"
    assert rules["office-24h"].from_day is None
    assert rules["marten-limit"].params == {"count": 10, "within": "season"}


@pytest.mark.django_db
@settings(max_examples=40, deadline=None)
@given(documents())
def test_any_version_gives_back_its_file_and_its_check_rules_can_be_reckoned(plain: Plain) -> None:
    document = read_document(plain)
    with transaction.atomic():
        office = make_office("valley")
        with team_scope(office.team):
            kept = Version.objects.get(id=office.take(document).id)
            assert document_of(kept) == document
            assert read_text(to_yaml(document_of(kept)).encode()) == document
            rules = list(Rule.objects.filter(version=kept).select_related("authority"))
            assert {(r.code, r.authority.code) for r in rules} == {
                (r.code, r.authority) for r in document.rules
            }
            for rule in rules:
                if rule.matter == "check":
                    from_params(rule.form, rule.params)
        transaction.set_rollback(True)


def test_each_taking_in_raises_the_teams_stamp_by_one_and_no_other_teams(office: Office) -> None:
    other = make_office("hill")
    before, others = office.stamp(), other.stamp()
    office.take(read_document(small()))
    office.take(read_document(small()))
    assert (office.stamp(), other.stamp()) == (before + 2, others)


def test_authorities_and_species_are_kept_by_code_and_brought_up_to_date(office: Office) -> None:
    office.take(read_document(small()))
    marten = Species.objects.get(code="marten")
    changed = small(in_force_from="2026-01-01T00:00:00Z")
    changed["species"] = [
        {"code": "marten", "name": "Pine marten", "handling": "release", "card": "Let go."}
    ]
    changed["rules"] = changed["rules"][:1]
    changed["authorities"][0]["name"] = "The new office"
    office.take(read_document(changed))
    again = Species.objects.get(code="marten")
    assert again.id == marten.id
    assert (again.name, again.handling, again.card) == ("Pine marten", "release", "Let go.")
    # What a record may point to stays, though this rulebook does not speak of it.
    assert Species.objects.filter(code="eagle").exists()
    assert Authority.objects.get(code="office").name == "The new office"
    assert Authority.objects.count() == 2


def test_a_rulebook_for_an_earlier_time_adds_species_and_changes_none(office: Office) -> None:
    office.take(read_document(small()))
    earlier = small(in_force_from="2024-10-01T00:00:00Z")
    earlier["species"][0]["card"] = "An old card."
    earlier["species"].append({"code": "lynx", "name": "Lynx"})
    office.take(read_document(earlier))
    assert Species.objects.get(code="marten").card == "Stay back.\nGloves."
    assert Species.objects.filter(code="lynx").exists()


def _statements(office: Office, document: Any) -> int:
    act = office.act()
    with CaptureQueriesContext(connection) as seen, transaction.atomic():
        intake.write_version(
            act_id=act, team=office.team, taken_by=office.manager, document=document
        )
    return len([q for q in seen if not q["sql"].startswith(("SAVEPOINT", "RELEASE", "BEGIN"))])


def test_a_large_rulebook_takes_no_more_statements_than_a_small_one(office: Office) -> None:
    def sized(count: int, title: str) -> Any:
        document = small(title=title)
        shift = 0.0 if title == "first" else 0.001
        area = {
            "type": "Polygon",
            "coordinates": [[[x + shift, y] for x, y in SQUARE["coordinates"][0]]],
        }
        document["zones"] += [zone(f"Z{n}", area) for n in range(count)]
        document["species"] += [{"code": f"s{n}", "name": f"Species {n}"} for n in range(count)]
        document["rules"] += [{**document["rules"][0], "code": f"r{n}"} for n in range(count)]
        return read_document(document)

    _statements(office, sized(300, "first"))
    few = _statements(office, sized(1, "second"))
    many = _statements(office, sized(300, "first"))
    # 1 stamp, 2 what lies ahead, 3 the version before, 4 authorities, 5 their ids, 6 species,
    # 7 version, 8 zones standing, 9 zones cut, 10 zones opened, 11 rules.
    assert few == 11
    assert many == 11


def test_the_programs_role_can_neither_change_nor_delete_what_was_taken_in(office: Office) -> None:
    office.take(read_document(small()))
    for sql in (
        "UPDATE rulebook_version SET title = ''",
        "DELETE FROM rulebook_version",
        "TRUNCATE rulebook_version CASCADE",
        "UPDATE rulebook_rule SET form = 'none'",
        "DELETE FROM rulebook_rule",
        "TRUNCATE rulebook_rule CASCADE",
    ):
        with pytest.raises(ProgrammingError), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(sql)


def _both_at_once(monkeypatch: pytest.MonkeyPatch, *, guarded: bool) -> list[Any]:
    """Two takings-in that meet, if they can, between reading the last number and writing."""
    office = make_office("race")
    meet = Barrier(2)
    really = selectors.version_in_force

    def slowly(*args: Any) -> Any:
        with suppress(BrokenBarrierError):  # the other one waits for this one to commit
            meet.wait(timeout=1.0)
        return really(*args)

    class NoLock:
        objects: Any

    class Nothing:
        def filter(self, **_: Any) -> "Nothing":
            return self

        def update(self, **_: Any) -> None:
            """The guard is off: the team's row is not touched."""

    monkeypatch.setattr(intake, "version_in_force", slowly)
    if not guarded:
        NoLock.objects = Nothing()
        monkeypatch.setattr(intake, "Team", NoLock)

    def take(title: str) -> Any:
        try:
            with team_scope(office.team):
                return office.take(book("2025-10-01T00:00:00Z", title=title)).number
        except IntegrityError as error:
            return error
        finally:
            connection.close()

    with ThreadPoolExecutor(2) as pool:
        return list(pool.map(take, ["one", "two"]))


@pytest.mark.django_db(transaction=True)
def test_two_rulebooks_taken_in_at_once_come_one_after_the_other(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    assert sorted(_both_at_once(monkeypatch, guarded=True)) == [1, 2]


@pytest.mark.django_db(transaction=True)
def test_without_the_teams_row_locked_one_of_them_would_fail(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    found = _both_at_once(monkeypatch, guarded=False)
    assert sorted(type(one).__name__ for one in found) == ["IntegrityError", "int"]
