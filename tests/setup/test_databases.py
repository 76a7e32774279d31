"""The tests' own databases are gone at the end, whoever still holds them."""

import os

import psycopg
import pytest
from psycopg import sql

from tests.databases import OWNER, connect, drop
from trapline.settings import PROGRAM_ROLE


def _there(name: str) -> bool:
    with connect("postgres") as link:
        found = link.execute("SELECT 1 FROM pg_database WHERE datname = %s", [name])
        return found.fetchone() is not None


def test_a_database_goes_though_a_thread_of_the_program_still_holds_it() -> None:
    name = f"test_lineward_held_{os.getpid()}"
    with connect("postgres") as link:
        link.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)))
    held = psycopg.connect(
        host=OWNER["HOST"] or None,
        port=OWNER["PORT"] or None,
        user=PROGRAM_ROLE,
        dbname=name,
    )
    assert _there(name)
    drop(name)
    assert not _there(name)
    with pytest.raises(psycopg.OperationalError):
        held.execute("SELECT 1")
