"""Migration operations for what Django cannot say: team walls and append-only tables."""

from typing import Any

from django.conf import settings
from django.db.migrations.operations.base import Operation


class _Sql(Operation):
    reversible = True
    reduces_to_sql = True

    def state_forwards(self, app_label: str, state: Any) -> None:
        """These change no model."""

    def database_backwards(self, app_label: str, editor: Any, old: Any, new: Any) -> None:
        """Dropping the tables drops these."""


class TeamWalls(_Sql):
    """UNIQUE (team_id, id) on each model and (team_id, x_id) keys for its links to team rows."""

    def __init__(self, *models: str) -> None:
        self.models = models

    def deconstruct(self) -> tuple[str, list[str], dict[str, Any]]:
        return type(self).__name__, list(self.models), {}

    def database_forwards(self, app_label: str, editor: Any, old: Any, new: Any) -> None:
        metas = [new.apps.get_model(app_label, name)._meta for name in self.models]
        for meta in metas:
            table = meta.db_table
            editor.execute(
                f'ALTER TABLE "{table}" ADD CONSTRAINT "{table}_team_id_key" UNIQUE (team_id, id)'
            )
        for meta in metas:
            for link in meta.concrete_fields:
                if link.remote_field and not link.db_constraint:
                    editor.execute(_wall(meta.db_table, link))


class TeamWall(_Sql):
    """The (team_id, x_id) key of one link that was added to a model that stands already."""

    def __init__(self, model: str, link: str) -> None:
        self.model, self.link = model, link

    def deconstruct(self) -> tuple[str, list[str], dict[str, Any]]:
        return type(self).__name__, [self.model, self.link], {}

    def database_forwards(self, app_label: str, editor: Any, old: Any, new: Any) -> None:
        meta = new.apps.get_model(app_label, self.model)._meta
        editor.execute(_wall(meta.db_table, meta.get_field(self.link)))


def _wall(table: str, link: Any) -> str:
    target = link.remote_field.model._meta.db_table
    return (
        f'ALTER TABLE "{table}" ADD CONSTRAINT "{table}_{link.column}_wall"'
        f' FOREIGN KEY (team_id, "{link.column}") REFERENCES "{target}" (team_id, id)'
    )


class AppendOnly(_Sql):
    """Take UPDATE, DELETE and TRUNCATE on the named models from the program's role.

    may_update: {model: [columns]} that stay writable (an act's state moves; its bytes never do).
    """

    def __init__(self, *models: str, may_update: dict[str, list[str]] | None = None) -> None:
        self.models = models
        self.may_update = may_update or {}

    def deconstruct(self) -> tuple[str, list[str], dict[str, Any]]:
        return type(self).__name__, list(self.models), {"may_update": self.may_update}

    def database_forwards(self, app_label: str, editor: Any, old: Any, new: Any) -> None:
        role = editor.quote_name(settings.PROGRAM_ROLE)
        for name in self.models:
            table = editor.quote_name(new.apps.get_model(app_label, name)._meta.db_table)
            editor.execute(f"REVOKE ALL ON {table} FROM {role}")
            editor.execute(f"GRANT SELECT, INSERT ON {table} TO {role}")
            if columns := self.may_update.get(name):
                listed = ", ".join(editor.quote_name(column) for column in columns)
                editor.execute(f"GRANT UPDATE ({listed}) ON {table} TO {role}")
