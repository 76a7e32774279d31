"""Keys are UUIDs of version 7 (RFC 9562, section 5.7), whoever makes them, and sort by time."""

import time
from collections.abc import Callable
from itertools import pairwise
from uuid import RFC_4122, UUID

import pytest
import uuid_utils
from django.db import connection

from trapline.ground.ids import new_id

pytestmark = pytest.mark.django_db


def by_database() -> UUID:
    with connection.cursor() as cursor:
        cursor.execute("SELECT uuid7()")
        return UUID(str(cursor.fetchone()[0]))


MAKERS = [new_id, by_database]


def milliseconds(key: UUID) -> int:
    """The first 48 bits: milliseconds since 1970 (RFC 9562, figure 11)."""
    return key.int >> 80


def test_the_reader_of_these_tests_reads_the_standards_own_example() -> None:
    """RFC 9562, appendix A.6: made on 2022-02-22 at 19:22:22 UTC."""
    example = UUID("017F22E2-79B0-7CC3-98C4-DC0C0C07398F")
    assert milliseconds(example) == 1645557742000
    assert (example.version, example.variant) == (7, RFC_4122)


@pytest.mark.parametrize("make", MAKERS)
def test_a_key_is_of_version_7_and_of_the_standards_variant(make: Callable[[], UUID]) -> None:
    for _ in range(50):
        key = make()
        assert (key.version, key.variant) == (7, RFC_4122)
        assert key.hex[12] == "7"
        assert key.hex[16] in "89ab"


@pytest.mark.parametrize("make", MAKERS)
def test_a_key_holds_the_moment_it_was_made(make: Callable[[], UUID]) -> None:
    before = time.time_ns() // 1_000_000
    key = make()
    after = time.time_ns() // 1_000_000
    # PostgreSQL rounds to the nearest millisecond.
    assert before <= milliseconds(key) <= after + 1
    assert uuid_utils.UUID(str(key)).timestamp == milliseconds(key)


@pytest.mark.parametrize("make", MAKERS)
def test_keys_made_in_different_milliseconds_sort_by_time(make: Callable[[], UUID]) -> None:
    keys = []
    for _ in range(10):
        keys.append(make())
        time.sleep(0.0025)
    assert keys == sorted(keys)
    assert all(milliseconds(one) < milliseconds(next_) for one, next_ in pairwise(keys))


def test_keys_of_one_statement_differ() -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT uuid7() FROM generate_series(1, 20000)")
        keys = [row[0] for row in cursor.fetchall()]
    assert len(set(keys)) == 20000
    # Those of one millisecond share their time and nothing else: 74 bits are left to chance.
    assert len({key.int & (1 << 62) - 1 for key in keys}) == 20000


def test_keys_of_program_and_database_sort_together() -> None:
    keys = []
    for _ in range(5):
        for make in MAKERS:
            keys.append(make())
            time.sleep(0.0025)
    assert keys == sorted(keys)
