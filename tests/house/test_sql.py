"""Every text of SQL: does PostgreSQL read it, does it stay inside one team, who says what time."""

import re
from pathlib import Path

import pytest
from django.db import connection

from tests.house import rooms
from tests.house.rooms import SqlText

# Statements that mean every team, and why. Whatever is not here takes %(team)s.
ALL_TEAMS = {
    "trapline/watch/teams.sql": "the sweep asks which teams have work",
    "trapline/watch/unasked_teams.sql": "the re-due asks whose catches were asked under old rules",
    "trapline/watch/unrenewed_teams.sql": "the sweep asks where a renewal is not asked for",
    "trapline/watch/stale_teams.sql": "the re-due asks which teams have work",
    "trapline/watch/untallied_teams.sql": "the sweep asks which teams have sets to count",
    "trapline/watch/teams_all.sql": "what is reckoned each night is reckoned in every team",
    "trapline/watch/look_teams.sql": "the look asks which teams have work",
    "trapline/watch/turning.sql": "the sweep asks whose rules have turned by themselves",
    "trapline/watch/flying.sql": "delivery takes what any team's outbox owes; rows give their team",
    "trapline/people/membership.sql": "finds out whether a person is in the team at an address",
    "trapline/watch/strays.sql": "acts kept for whoever joins a team; rows give their team",
    "trapline/reports/owed.sql": "a worker takes the next file of any team; rows give their team",
    "trapline/watch/held.sql": "held acts of any team are tried again; rows give their team",
}
# Ways around a team's scope in Python, and why. Each is by person or by key, before a team is
# in force.
UNSCOPED = {
    "trapline/people/rights.py": "finds out in which teams a person is",
    "trapline/people/selectors.py": "shows a person the choice of their teams",
    "trapline/people/passwords.py": "asks in which team a person has been longest",
    "trapline/api/base.py": "an empty list, which the schema of the API is made from",
}
# Where SQL may be handed to the database at all.
RUNNERS = {
    "trapline/ground/sql.py": "runs the .sql files",
    "trapline/ground/walls.py": "migrations only",
    "trapline/record/after.py": "SET CONSTRAINTS, which no .sql file needs",
}
CLOCKS = re.compile(
    r"\bnow\s*\(|\bcurrent_(?:timestamp|date|time)\b|\blocaltime(?:stamp)?\b|\btimeofday\s*\("
    r"|\b(?:clock|statement|transaction)_timestamp\b"
    r"|'(?:now|today|tomorrow|yesterday)'\s*::|\b(?:date|timestamp(?:tz)?)\s+'[a-z]"
    r"|\bat\s+time\s+zone\b|\btimezone\s*\(",
    re.IGNORECASE,
)


def texts() -> list[SqlText]:
    return [*rooms.sql_files(), *rooms.sql_strings()]


def test_every_text_takes_the_team_or_is_named_as_meaning_every_team() -> None:
    asks = [text for text in texts() if text.words & set(rooms.tables())]
    walled = {text.name for text in asks if "%(team)s" in text.bare}
    assert {text.name for text in asks} - walled == set(ALL_TEAMS)


def test_sql_is_run_only_where_it_is_named() -> None:
    run = re.compile(r"\.(?:execute|executemany|raw|extra)\(|RawSQL\(|callproc\(")
    found = {rooms.shown(path) for path in _python() if run.search(path.read_text())}
    assert found == set(RUNNERS)


def test_team_scope_is_passed_by_only_where_it_is_named() -> None:
    around = re.compile(r"_base_manager|scopes_disabled|all_teams\(|_default_manager")
    found = {rooms.shown(path) for path in _python() if around.search(path.read_text())}
    assert found - {"trapline/ground/scope.py"} == set(UNSCOPED)


def test_no_sql_reads_a_clock_or_knows_a_time_zone() -> None:
    """uuid7() in ground's first migration reads clock_timestamp: a key's age, nobody's deadline."""
    said = [text.name for text in texts() if CLOCKS.search(re.sub(r"--[^\n]*", "", text.text))]
    assert said == []


@pytest.mark.parametrize(
    "clock",
    ["now()", "CURRENT_TIMESTAMP", "x AT TIME ZONE 'UTC'", "'now'::timestamptz", "date 'today'"],
)
def test_the_search_for_clocks_finds(clock: str) -> None:
    assert CLOCKS.search(f"SELECT {clock}")


def test_migrations_read_the_clock_only_to_make_keys() -> None:
    found = {
        rooms.shown(path): CLOCKS.findall(path.read_text())
        for path in sorted(rooms.HOUSE.rglob("migrations/*.py"))
    }
    assert {name: said for name, said in found.items() if said} == {
        "trapline/ground/migrations/0001_privileges.py": ["clock_timestamp"]
    }


def test_python_reads_the_clock_in_one_place() -> None:
    clocks = re.compile(
        r"datetime\.(?:now|utcnow|today)\(|date\.today\(|timezone\.(?:now|localtime)\(|time\.time\("
        r"|\bNow\(\)"
    )
    found = {rooms.shown(path) for path in _python() if clocks.search(path.read_text())}
    # knox asks through its own model whether a token has run out, and takes no moment.
    assert found == {"trapline/ground/clock.py", "trapline/api/tokens.py"}


@pytest.mark.parametrize("text", rooms.sql_files(), ids=lambda text: text.name)
def test_postgresql_reads_it_against_the_schema_as_it_is(text: SqlText, db: None) -> None:
    names = list(dict.fromkeys(re.findall(r"%\((\w+)\)s", text.text)))
    ready = re.sub(r"%\((\w+)\)s", lambda hit: f"${names.index(hit[1]) + 1}", text.text)
    with connection.cursor() as cursor:
        cursor.execute("PREPARE read_it AS " + ready.replace("%%", "%"))
        cursor.execute("DEALLOCATE read_it")


def _python() -> list[Path]:
    return rooms.python_files("trapline")
