"""The tables of the record, and statements tried on them as the program."""

from typing import Any

import pytest
from django.apps import apps
from django.db import ProgrammingError, connection, transaction
from psycopg import errors

from trapline.journal.models import Act, Fact


def record_models() -> list[Any]:
    """Every record table: all facts there are, and the book of acts."""
    facts = [model for model in apps.get_models() if issubclass(model, Fact)]
    return [Act, *sorted(facts, key=lambda model: model._meta.db_table)]


RECORD = [model._meta.db_table for model in record_models()]


def refused(statement: str) -> None:
    """The statement is refused to the program for want of a right, and for no other reason."""
    with (
        pytest.raises(ProgrammingError) as caught,
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(statement)
    assert isinstance(caught.value.__cause__, errors.InsufficientPrivilege), caught.value


def allowed(statement: str) -> int:
    """The statement is taken from the program; gives the number of rows it touched."""
    with connection.cursor() as cursor:
        cursor.execute(statement)
        return int(cursor.rowcount)
