"""The record can be added to and read. The database itself refuses the program anything else."""

from datetime import timedelta

import pytest
from django.conf import settings
from django.db import connection

from tests.conftest import owner_connection
from tests.databases import OWNER as OWNER_ADDRESS
from tests.ground.record_tables import RECORD, allowed, record_models, refused
from tests.world import START, World
from trapline.ground.scope import team_scope
from trapline.journal.models import Act
from trapline.lines.models import Check

OWNER = OWNER_ADDRESS["USER"]
ACT_MOVES = {"state", "reason", "waits_for", "settled_at", "settled_by_id"}
ACT_COLUMNS = [field.column for field in Act._meta.concrete_fields]

pytestmark = pytest.mark.django_db


def test_there_are_tables_to_try() -> None:
    assert {"lines_check", "lines_catch", "gear_partfact", "rulebook_rule", "journal_act"} <= set(
        RECORD
    )


@pytest.mark.parametrize("table", RECORD)
def test_no_row_of_the_record_can_be_changed(table: str) -> None:
    refused(f"UPDATE {table} SET id = id")


@pytest.mark.parametrize("table", RECORD)
def test_no_row_of_the_record_can_be_deleted(table: str) -> None:
    refused(f"DELETE FROM {table}")


@pytest.mark.parametrize("table", RECORD)
def test_no_table_of_the_record_can_be_emptied(table: str) -> None:
    refused(f"TRUNCATE {table} CASCADE")


@pytest.mark.parametrize("table", RECORD)
def test_an_insert_cannot_turn_into_an_update(table: str) -> None:
    taken = f"INSERT INTO {table} SELECT * FROM {table} ON CONFLICT (id) DO"
    allowed(f"{taken} NOTHING")
    refused(f"{taken} UPDATE SET id = excluded.id")


@pytest.mark.parametrize("table", RECORD)
def test_a_merge_cannot_change_or_delete(table: str) -> None:
    merge = f"MERGE INTO {table} t USING {table} s ON t.id = s.id WHEN MATCHED THEN"
    refused(f"{merge} UPDATE SET id = s.id")
    refused(f"{merge} DELETE")


@pytest.mark.parametrize("column", ACT_COLUMNS)
def test_of_an_act_only_its_state_moves(column: str) -> None:
    statement = f"UPDATE journal_act SET {column} = {column}"
    if column in ACT_MOVES:
        allowed(statement)
    else:
        refused(statement)


def test_an_acts_state_cannot_carry_its_bytes_along() -> None:
    refused("UPDATE journal_act SET state = 'held', body = ''")


def test_a_check_that_was_made_stays_as_it_was_made(world: World) -> None:
    """The same with a row in the table, and through Django."""
    set_id = world.set("S1")
    made = world.check(world.student, set_id, START + timedelta(hours=20))
    refused(f"UPDATE lines_check SET note = 'no' WHERE id = '{made}'")
    refused(f"DELETE FROM lines_check WHERE id = '{made}'")
    with team_scope(world.team):
        assert Check.objects.get(id=made).note == ""


@pytest.mark.parametrize("verb", ["UPDATE {} SET id = id", "DELETE FROM {}"])
def test_the_owner_could_so_it_is_the_role_that_keeps_the_record(verb: str) -> None:
    """The control: the same statements pass as owner, rolled back here."""
    with owner_connection() as link, link.transaction(force_rollback=True):
        link.execute("TRUNCATE people_team CASCADE")  # or one table's rows would hold another's
        for table in RECORD:
            link.execute(verb.format(table))


DOORS = {
    "become the owner": f"SET ROLE {OWNER}",
    "sign in as the owner": f"SET SESSION AUTHORIZATION {OWNER}",
    "make itself a superuser": f"ALTER ROLE {settings.PROGRAM_ROLE} SUPERUSER",
    "join the owner": f"GRANT {OWNER} TO {settings.PROGRAM_ROLE}",
    "change the table": "ALTER TABLE lines_check ADD COLUMN extra integer",
    "drop a constraint": "ALTER TABLE lines_check DROP CONSTRAINT lines_check_corrected_once",
    "own the table": f"ALTER TABLE lines_check OWNER TO {settings.PROGRAM_ROLE}",
    "switch triggers off": "ALTER TABLE lines_check DISABLE TRIGGER ALL",
    "switch keys off": "SET session_replication_role = replica",
    "drop the table": "DROP TABLE lines_check CASCADE",
    "drop the schema": "DROP SCHEMA public CASCADE",
    "hide the table": "CREATE TABLE public.lines_check_new (id uuid)",
    "rewrite by a rule": "CREATE RULE quiet AS ON INSERT TO lines_check DO INSTEAD NOTHING",
    "act by a trigger": "CREATE TRIGGER t BEFORE INSERT ON lines_check FOR EACH ROW"
    " EXECUTE FUNCTION suppress_redundant_updates_trigger()",
    "replace the keys' function": "CREATE OR REPLACE FUNCTION uuid7() RETURNS uuid LANGUAGE sql"
    " AS 'SELECT gen_random_uuid()'",
    "drop the keys' function": "DROP FUNCTION uuid7() CASCADE",
    "read a file into the table": "COPY lines_check FROM '/etc/hostname'",
    "run a program": "COPY lines_check TO PROGRAM 'cat'",
    "lock everybody out": "LOCK TABLE lines_check IN ACCESS EXCLUSIVE MODE",
    "forget migrations": "DELETE FROM django_migrations",
}


@pytest.mark.parametrize("door", DOORS)
def test_the_program_cannot(door: str) -> None:
    refused(DOORS[door])


def test_a_right_that_the_program_gives_itself_is_none() -> None:
    allowed(f"GRANT UPDATE, DELETE ON lines_check TO {settings.PROGRAM_ROLE}")  # only warned of
    refused("UPDATE lines_check SET id = id")
    refused("DELETE FROM lines_check")


def test_the_programs_role_is_nobody() -> None:
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT r.rolsuper, r.rolcreaterole, r.rolcreatedb, r.rolreplication, r.rolbypassrls,"
            " (SELECT count(*) FROM pg_class c WHERE c.relowner = r.oid),"
            " (SELECT count(*) FROM pg_proc p WHERE p.proowner = r.oid),"
            " (SELECT count(*) FROM pg_database d WHERE d.datdba = r.oid),"
            " (SELECT count(*) FROM pg_auth_members m WHERE m.member = r.oid)"
            " FROM pg_roles r WHERE r.rolname = current_user AND r.rolname = %s",
            [settings.PROGRAM_ROLE],
        )
        assert cursor.fetchall() == [(False, False, False, False, False, 0, 0, 0, 0)]


def test_nothing_of_ours_runs_with_the_owners_rights() -> None:
    """A SECURITY DEFINER function would be a door; PostGIS's own are not the owner's to lend."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT p.proname FROM pg_proc p JOIN pg_roles r ON r.oid = p.proowner"
            " WHERE p.prosecdef AND r.rolname = %s",
            [OWNER],
        )
        assert cursor.fetchall() == []


def test_every_fact_is_written_by_an_act_of_its_team() -> None:
    keys = {
        model._meta.db_table: model._meta.get_field("act").null
        for model in record_models()
        if model is not Act
    }
    assert not any(keys.values())


def test_a_connection_of_the_program_says_so() -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT current_user, session_user")
        assert cursor.fetchone() == (settings.PROGRAM_ROLE, settings.PROGRAM_ROLE)
