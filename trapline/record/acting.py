"""What an act module is made of: the desk it is taken at, and its kind."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import UUID

from pydantic import BaseModel, ConfigDict, ValidationError

from trapline.ground.errors import Problem, Refused
from trapline.people.rights import Actor
from trapline.record.envelope import problems_of
from trapline.record.owed import Owed


class Body(BaseModel):
    """The inside of an act. Unknown fields are refused: a typing error must not be lost."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


@dataclass
class Desk:
    """One act on the desk: who acts, when, under which id; what it must not hide."""

    actor: Actor
    sender: Actor
    act: UUID
    at: datetime
    received_at: datetime
    clock_flagged: bool
    overruled: bool = False  # a reviewer has looked and takes it in
    flags: list[str] = field(default_factory=list)
    owed: Owed | None = None  # of a batch: whose findings are reckoned at its end

    @property
    def team(self) -> UUID:
        return self.actor.team

    def written(self) -> dict[str, Any]:
        """The columns every fact of this act shares."""
        return {"team_id": self.team, "act_id": self.act, "at": self.at}


@dataclass(frozen=True)
class Kind:
    """A kind of act: its body in every version ever shipped, and what it does.

    A reader is kept for every version: `bodies[v]` reads it and gives the newest form.
    """

    name: str
    bodies: dict[int, type[Body]]
    apply: Callable[[Desk, Any], None]

    def read(self, values: dict[str, Any], version: int = 1) -> Body:
        """The body, or Refused with each field that cannot be read."""
        form = self.bodies.get(version)
        if form is None:
            raise Refused(Problem("version", "unknown_version", {"kind": self.name}))
        try:
            return form.model_validate_json(_json(values))
        except ValidationError as error:
            raise problems_of(error, "body.") from None


def _json(values: dict[str, Any]) -> str:
    import json

    return json.dumps(values, default=str)
