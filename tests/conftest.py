"""The real PostgreSQL: made by its owner, used by the program's role, as in the field."""

import gc
import os
from collections.abc import Iterator
from graphlib import TopologicalSorter
from typing import Any

import hypothesis
import psycopg
import pytest
from django.conf import settings
from django.db import connection
from django.test import TransactionTestCase

from tests.databases import connect, own_database
from tests.world import STANDING, World, make_world, world_of
from trapline.celery import app
from trapline.settings import broker_url

# How long one case takes says nothing here: three processes share two cores.
hypothesis.settings.register_profile("ours", deadline=None)
hypothesis.settings.load_profile("ours")

KEPT = ("django_migrations", "spatial_ref_sys", "django_content_type", "auth_permission")

LONG_FILES = ("tests/browser/", "tests/setup/", "tests/demo/", "tests/calc/", "tests/trials/")


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """What takes long begins first, so that no process waits at the end for another's last file."""
    items.sort(key=lambda item: not item.nodeid.startswith(LONG_FILES))


def pytest_collection_finish() -> None:
    """What is loaded by now stays: the collector need not go through it again and again."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 20, 100)


@pytest.fixture(scope="session")
def django_db_setup(django_db_blocker: Any, redis_of_this_worker: str) -> Iterator[None]:
    """A database made by its owner; the tests are the program: a role that owns nothing."""
    with own_database() as name, django_db_blocker.unblock():
        connection.close()
        connection.settings_dict["NAME"] = settings.DATABASES["default"]["NAME"] = name
        settings.PASSWORD_HASHERS = ["tests.hashing.QuickArgon2"]
        stand()
        yield
        connection.close()


def stand() -> None:
    """Two worlds, kept: two thousand tests begin with them, and each would make them anew."""
    STANDING.update({slug: make_world(slug) for slug in ("north", "south")})


@pytest.fixture(autouse=True, scope="module")
def _worlds_stand(django_db_blocker: Any) -> None:
    """Where the tests of another module have emptied the database, the worlds stand again."""
    if EMPTIED:
        with django_db_blocker.unblock():
            stand()
        EMPTIED.clear()


def owner_connection() -> psycopg.Connection[Any]:
    """A connection of the owner to the test database."""
    return connect(connection.settings_dict["NAME"])


FEW = 2000  # rows of a table that are deleted sooner than all tables are truncated
TABLES = """
SELECT c.oid::regclass::text FROM pg_class c
WHERE c.relkind = 'r' AND c.relnamespace = 'public'::regnamespace AND c.relname <> ALL (%s)
"""
KEYS = """
SELECT DISTINCT conrelid::regclass::text, confrelid::regclass::text FROM pg_constraint
WHERE contype = 'f' AND conrelid <> confrelid
"""


EMPTIED: list[bool] = []  # holds one when the worlds no longer stand


def empty_as_owner(_: TransactionTestCase | None = None) -> None:
    """Delete what is there, what refers to others first: TRUNCATE makes each file anew."""
    EMPTIED[:] = [True]
    with owner_connection() as link, link.transaction():
        tables = {name for (name,) in link.execute(TABLES, [list(KEPT)])}
        order: TopologicalSorter[str] = TopologicalSorter({name: () for name in tables})
        for referring, referred in link.execute(KEYS):
            if {referring, referred} <= tables:
                order.add(referred, referring)
        names = list(order.static_order())
        counts = ", ".join(
            f"(SELECT count(*) FROM (SELECT FROM {name} LIMIT {FEW}) r)" for name in names
        )
        there = link.execute(f"SELECT {counts}").fetchone() or ()
        if FEW in there:
            link.execute(f"TRUNCATE {', '.join(names)} CASCADE")
            return
        for name, count in zip(names, there, strict=True):
            if count:
                link.execute(f"DELETE FROM {name}")


@pytest.fixture(autouse=True, scope="session")
def _flush_needs_the_owner() -> None:
    TransactionTestCase._fixture_teardown = empty_as_owner  # type: ignore[attr-defined]


@pytest.fixture(autouse=True, scope="session")
def _statics_are_looked_up() -> None:
    """Not all read again for each client: every test makes one, which took 55 ms."""
    settings.WHITENOISE_AUTOREFRESH = True


@pytest.fixture(autouse=True, scope="session")
def redis_of_this_worker() -> str:
    """Each xdist worker has a Redis database of its own."""
    number = int(os.environ.get("PYTEST_XDIST_WORKER", "gw0").removeprefix("gw")) % 15 + 1
    if settings.REDIS_URL.startswith("unix"):
        url = settings.REDIS_URL.split("?")[0] + f"?db={number}"
    else:
        url = settings.REDIS_URL.rsplit("/", 1)[0] + f"/{number}"
    settings.REDIS_URL = url
    # Without our app a wake-up asks Celery's own default broker, which took six seconds to fail.
    app.conf.broker_url = broker_url(url)
    return url


@pytest.fixture
def world(db: None) -> World:
    """A team with people, licences, gear, a rulebook and a line; see tests/world.py."""
    return world_of("north")


@pytest.fixture
def other_world(db: None) -> World:
    """A second team, whose people must never get into the first."""
    return world_of("south")
