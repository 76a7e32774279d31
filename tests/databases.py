"""A database for each test process, copied from a template that is migrated once per schema."""

import hashlib
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import environ
import psycopg
from psycopg import sql

ROOT = Path(__file__).resolve().parent.parent
OWNER = environ.Env().db_url("OWNER_DATABASE_URL")


def connect(name: str) -> psycopg.Connection[Any]:
    """A connection of the owner."""
    return psycopg.connect(
        host=OWNER["HOST"] or None,
        port=OWNER["PORT"] or None,
        user=OWNER["USER"] or None,
        password=OWNER["PASSWORD"] or None,
        dbname=name,
        autocommit=True,
    )


def _schema_digest() -> str:
    """What the schema is made from: every migration of ours, the walls, the pinned packages."""
    files = sorted(
        [
            *ROOT.glob("trapline/*/migrations/*.py"),
            ROOT / "trapline/ground/walls.py",
            ROOT / "requirements.txt",
        ]
    )
    total = hashlib.sha256()
    for file in files:
        total.update(file.name.encode() + b"\0" + file.read_bytes())
    return total.hexdigest()[:16]


def template() -> str:
    """The name of the migrated template, made if it is not there. One process makes it."""
    name = f"lineward_template_{_schema_digest()}"
    with connect("postgres") as link:
        link.execute("SELECT pg_advisory_lock(20261125)")
        known = link.execute("SELECT 1 FROM pg_database WHERE datname = %s", [name]).fetchone()
        if known is None:
            half = f"{name}_half"
            link.execute(sql.SQL("DROP DATABASE IF EXISTS {}").format(sql.Identifier(half)))
            link.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(half)))
            _migrate(half)
            link.execute(
                sql.SQL("ALTER DATABASE {} RENAME TO {}").format(
                    sql.Identifier(half), sql.Identifier(name)
                )
            )
    return name


def _migrate(name: str) -> None:
    owner = OWNER["USER"] + (f":{OWNER['PASSWORD']}" if OWNER["PASSWORD"] else "")
    place = f"{OWNER['HOST']}:{OWNER['PORT']}" if OWNER["PORT"] else f"/{OWNER['HOST']}"
    done = subprocess.run(
        [sys.executable, "manage.py", "migrate", "-v0", "--skip-checks"],
        cwd=ROOT,
        env={
            **os.environ,
            "OWN_SCHEMA": "1",
            "OWNER_DATABASE_URL": f"postgis://{owner}@{place}/{name}",
        },
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode:
        raise RuntimeError(f"The test database could not be migrated:\n{done.stderr}")


@contextmanager
def own_database(use: str = "") -> Iterator[str]:
    """A database of this process alone, gone when it ends. `use`: for another beside the first."""
    name = f"test_lineward_{os.getpid()}{use}"
    made_from = template()
    with connect("postgres") as link:
        link.execute(sql.SQL("DROP DATABASE IF EXISTS {}").format(sql.Identifier(name)))
        # Two copies of one template at once would meet; they take turns.
        link.execute("SELECT pg_advisory_lock(20261125)")
        link.execute(
            sql.SQL("CREATE DATABASE {} TEMPLATE {}").format(
                sql.Identifier(name), sql.Identifier(made_from)
            )
        )
    yield name
    drop(name)


def drop(name: str) -> None:
    """Drop the database whoever still holds it: a thread of ours, or autovacuum.

    FORCE would refuse for autovacuum, which only a superuser may end; the plain DROP asks it to
    leave and waits. Our own connections are ended first.
    """
    database = sql.Identifier(name)
    with connect("postgres") as link:
        link.execute(sql.SQL("ALTER DATABASE {} ALLOW_CONNECTIONS false").format(database))
        link.execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
            " WHERE datname = %s AND backend_type = 'client backend'",
            [name],
        )
        for rest in range(5, -1, -1):
            try:
                # It waits five seconds itself.
                link.execute(sql.SQL("DROP DATABASE IF EXISTS {}").format(database))
                return
            except psycopg.errors.ObjectInUse:
                held = link.execute(
                    "SELECT backend_type, usename, state, query FROM pg_stat_activity"
                    " WHERE datname = %s",
                    [name],
                ).fetchall()
                sys.stderr.write(f"{name} is still held by {held}\n")
                if not rest:
                    raise


if __name__ == "__main__":
    template()
