"""A database for each test process, copied from a template that is migrated once per schema."""

import hashlib
import os
import subprocess
import sys
import time
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
def own_database() -> Iterator[str]:
    """A database of this process alone, gone when it ends."""
    name = f"test_lineward_{os.getpid()}"
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
    _drop(name)


def _drop(name: str) -> None:
    """Drop the database, once autovacuum, which its owner may not end, has left it."""
    gone = sql.SQL("DROP DATABASE IF EXISTS {} WITH (FORCE)").format(sql.Identifier(name))
    with connect("postgres") as link:
        for rest in range(100, -1, -1):
            try:
                link.execute(gone)
                return
            except psycopg.errors.InsufficientPrivilege:
                if not rest:
                    raise
                time.sleep(0.1)
