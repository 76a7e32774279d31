"""The migrations make exactly what the models say."""

from io import StringIO

import pytest
from django.core.management import call_command
from django.db import connection

from tests.house import rooms


@pytest.mark.django_db
def test_no_model_waits_for_a_migration() -> None:
    said = StringIO()
    try:
        call_command("makemigrations", check=True, dry_run=True, stdout=said, verbosity=1)
    except SystemExit:
        pytest.fail(said.getvalue())


@pytest.mark.django_db
def test_every_index_and_constraint_of_a_model_is_in_the_database() -> None:
    """A field that loses its index took a unique constraint on part of the rows with it once."""
    stated = {
        one.name
        for model in rooms.our_models()
        for one in (*model._meta.indexes, *model._meta.constraints)
    }
    with connection.cursor() as cursor:
        cursor.execute("SELECT relname FROM pg_class UNION ALL SELECT conname FROM pg_constraint")
        there = {name for (name,) in cursor.fetchall()}
    assert stated - there == set()


def test_no_migration_reads_the_rooms_as_they_are_today() -> None:
    """A migration must do in ten years what it does now: it imports the ground and Django only."""
    outside = [
        f"{rooms.shown(path)}: {line}"
        for path in sorted(rooms.HOUSE.rglob("migrations/*.py"))
        for line in path.read_text(encoding="utf-8").splitlines()
        if line.startswith(("import trapline.", "from trapline."))
        and not line.split()[1].startswith("trapline.ground")
    ]
    assert outside == []
