"""The base rows. Every team-owned table stands on TeamRow, every record table on Fact."""

from typing import Any

from django.db import models
from django_scopes import ScopedManager

from trapline.ground.ids import new_id


class Row(models.Model):
    """A row with an address."""

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)

    class Meta:
        abstract = True


class TeamKey(models.ForeignKey[Any, Any]):
    """A link inside one team. The database keeps it by a key over (team_id, this id),

    which `walls.TeamWalls` writes in the migration, so no row can point into another team.
    """

    def __init__(self, to: Any, on_delete: Any = models.PROTECT, **kwargs: Any) -> None:
        kwargs.setdefault("related_name", "+")
        kwargs["db_constraint"] = False
        super().__init__(to, on_delete, **kwargs)


class TeamRow(Row):
    """A row that belongs to a team; asking for it without a team in force raises."""

    team = models.ForeignKey(
        "people.Team", models.PROTECT, related_name="+", db_index=False, editable=False
    )
    objects: Any = ScopedManager(team="team")

    class Meta:
        abstract = True


def one_of(field: str, choices: type[models.TextChoices], name: str) -> models.CheckConstraint:
    """The database's own guard that `field` is one of the codes (a null passes)."""
    return models.CheckConstraint(
        condition=models.Q(**{f"{field}__in": choices.values}), name=f"{name}_{field}_code"
    )
