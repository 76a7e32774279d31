"""Team walls as the database has them, read from its own catalogue."""

from typing import Any

import pytest
from django.contrib.postgres.constraints import ExclusionConstraint
from django.db import connection, models

from tests.house import rooms
from trapline.ground.models import TeamKey, TeamRow
from trapline.people.models import Team

# Rows that name a team and are no TeamRow, and why.
BY_TEAM_ONLY = {
    "duties_stage": "a team's setting: no row points to it, it goes with its team",
    "journal_setting": "a team's setting: no row points to it, it goes with its team",
}


def team_models() -> list[Any]:
    return [model for model in rooms.our_models() if issubclass(model, TeamRow)]


def links(model: Any) -> list[Any]:
    """The model's keys to rows of a team."""
    return [
        field
        for field in model._meta.concrete_fields
        if field.is_relation and issubclass(field.related_model, TeamRow)
    ]


def asked(statement: str) -> list[tuple[Any, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(statement)
        return list(cursor.fetchall())


CONSTRAINTS = """
SELECT t.relname, c.contype::text, f.relname,
       ARRAY(SELECT a.attname::text FROM unnest(c.conkey) WITH ORDINALITY AS k (no, place)
             JOIN pg_attribute a ON a.attrelid = t.oid AND a.attnum = k.no ORDER BY k.place),
       ARRAY(SELECT a.attname::text FROM unnest(c.confkey) WITH ORDINALITY AS k (no, place)
             JOIN pg_attribute a ON a.attrelid = f.oid AND a.attnum = k.no ORDER BY k.place),
       c.convalidated
FROM pg_constraint c
JOIN pg_class t ON t.oid = c.conrelid
LEFT JOIN pg_class f ON f.oid = c.confrelid
"""


def test_a_key_from_a_team_row_to_a_team_row_is_a_team_key() -> None:
    found = [field for model in team_models() for field in links(model)]
    assert len(found) > 60
    assert [str(field) for field in found if not isinstance(field, TeamKey)] == []


@pytest.mark.django_db
def test_every_team_key_is_a_constraint_over_the_team_and_the_key() -> None:
    there = {
        (table, target, tuple(columns), tuple(theirs))
        for table, kind, target, columns, theirs, valid in asked(CONSTRAINTS)
        if kind == "f" and valid
    }
    wanted = {
        (
            model._meta.db_table,
            field.related_model._meta.db_table,
            ("team_id", field.column),
            ("team_id", "id"),
        )
        for model in team_models()
        for field in links(model)
    }
    assert wanted - there == set()


@pytest.mark.django_db
def test_every_team_table_has_the_key_that_the_walls_stand_on() -> None:
    there = {
        table
        for table, kind, _, columns, _, _ in asked(CONSTRAINTS)
        if kind == "u" and columns == ["team_id", "id"]
    }
    assert {model._meta.db_table for model in team_models()} - there == set()


@pytest.mark.django_db
def test_every_team_row_has_its_team() -> None:
    null = asked(
        "SELECT table_name, is_nullable FROM information_schema.columns"
        " WHERE column_name = 'team_id' AND table_schema = 'public'"
    )
    ours = {model._meta.db_table for model in team_models()}
    assert ours - {table for table, nullable in null if nullable == "NO"} == set()


def test_a_table_that_names_a_team_is_a_team_row_or_is_named_here() -> None:
    named = {
        model._meta.db_table
        for model in rooms.our_models()
        if any(field.related_model is Team for field in model._meta.concrete_fields)
    }
    assert named - {model._meta.db_table for model in team_models()} == set(BY_TEAM_ONLY)


# Keys without an index, and why nothing asks by them.
NOT_ASKED_BY = {
    **dict.fromkeys(
        (
            "findings_finding.opened_by",
            "findings_finding.closed_by",
            "findings_finding.acknowledged_by",
            "findings_fit.act",
        ),
        "one reads the act of a finding, never an act’s findings; acts are never deleted",
    ),
    **dict.fromkeys(
        ("standing_tally.by", "standing_tally.device_kind", "reports_reckoned.member"),
        "read by team; members and kinds are never deleted, so nothing asks by them",
    ),
    **dict.fromkeys(
        ("duties_duty.of_line", "duties_duty.who"),
        "duties are read by team and due moment; a line or a member picks among these",
    ),
    "findings_finding.rule": "one reads a finding's rule, never a rule's findings",
    "duties_duty.rule": "one reads a duty's rule, never a rule's duties; rules are never deleted",
}


def test_a_key_has_an_index_that_begins_with_it_or_a_reason() -> None:
    """PostgreSQL indexes no foreign key by itself; a team in front of the key does no harm."""
    bare = {
        f"{model._meta.db_table}.{field.name}"
        for model in team_models()
        for field in links(model)
        if not field.db_index and not field.unique and field.name not in _led(model)
    }
    assert bare == set(NOT_ASKED_BY)


def _led(model: Any) -> set[str]:
    """The fields that an index or constraint of the model begins with, the team aside."""
    meta = model._meta
    lists = [list(index.fields) for index in meta.indexes]
    for rule in meta.constraints:
        if isinstance(rule, models.UniqueConstraint):
            lists.append(list(rule.fields))
        elif isinstance(rule, ExclusionConstraint):
            lists.append([part for part, _ in rule.expressions if isinstance(part, str)])
    return {next((name for name in names if name != "team"), "") for names in lists}
