"""Gear from a file: a dry run that shows each row, then the acts it gave, all of them or none.

The dry run takes each act to the desk as it would be taken and rolls all of it back. What comes
back can be sent as it is, twice if need be: an act is known by its id.
"""

import json
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any, Literal
from uuid import UUID

from django.db import transaction
from pydantic import BaseModel, Field, ValidationError

from trapline.gear.formats.columns import COLUMNS, MOST_ROWS, NEEDED
from trapline.ground.errors import Held, NeedsReview, Problem, Refused
from trapline.ground.scope import team_scope
from trapline.ground.tables import read_table
from trapline.people.models import Membership, Skill
from trapline.people.rights import Actor
from trapline.record.desk import CONFLICT, submit
from trapline.record.envelope import Moment, flat, problems_of
from trapline.record.gear_plan import PHASES, People, Plan
from trapline.record.gear_rows import GearAct, PlannedRow, at_column
from trapline.standing.inventory import inventory

MOST_ACTS = 500
# An act later in the order is later by so much, so that the newest word of a thing is the last.
STEP = timedelta(milliseconds=1)


@dataclass(frozen=True)
class DryRun:
    """Every row of the file, and the acts that make it so: none while any row is refused."""

    rows: list[PlannedRow]
    acts: list[GearAct]
    at: datetime

    @property
    def refused(self) -> int:
        return sum(one.becomes == "refused" for one in self.rows)

    def count(self, becomes: str) -> int:
        """How many rows would become so."""
        return sum(one.becomes == becomes for one in self.rows)

    def said(self) -> str:
        """The acts as they are sent back."""
        acts = [
            {"act": one.act, "kind": one.kind, "body": one.body, "lines": one.lines}
            for one in self.acts
        ]
        return json.dumps({"at": self.at.isoformat(), "acts": acts}, default=str)


class GearActSaid(BaseModel, extra="forbid"):
    """An act of a dry run."""

    act: UUID
    kind: Literal[PHASES]  # type: ignore[valid-type]
    body: dict[str, Any]
    lines: list[int] = Field(default_factory=list, max_length=MOST_ROWS)


class GearActsSaid(BaseModel, extra="forbid"):
    """The acts of a dry run, as it gave them."""

    at: Moment
    acts: list[GearActSaid] = Field(min_length=1, max_length=MOST_ACTS)


def dry_run(actor: Actor, raw: bytes, *, now: datetime) -> DryRun:
    """What would be made and changed, row by row. Nothing is written.

    Raises Refused when the table as a whole cannot be read, or changes more than one import may.
    """
    table = read_table(raw, columns=COLUMNS, needed=NEEDED, most=MOST_ROWS)
    with transaction.atomic(), team_scope(actor.team):
        plan = Plan(inventory(actor.team), _people(), table)
        if len(plan.acts) > MOST_ACTS:
            raise Refused(Problem("file", "file_too_many_changes", {"most": MOST_ACTS}))
        if not any(one.problems for one in plan.rows):
            _tried(actor, plan, now)
        transaction.set_rollback(True)
    refused = any(one.becomes == "refused" for one in plan.rows)
    return DryRun(plan.rows, [] if refused else plan.acts, now)


def _people() -> People:
    members: dict[str, list[UUID]] = defaultdict(list)
    for name, key in Membership.objects.filter(ended_at=None).values_list("name", "id"):
        members[name.casefold()].append(key)
    skills: dict[str, list[UUID]] = defaultdict(list)
    for code, key in Skill.objects.values_list("code", "id"):
        skills[code.casefold()].append(key)
    return People(members, skills)


def _tried(actor: Actor, plan: Plan, now: datetime) -> None:
    """Take each act to the desk; what it is refused for stands in the rows it is made of."""
    rows = {one.line_no: one for one in plan.rows}
    for number, one in enumerate(plan.acts):
        try:
            submit(actor, one.kind, one.body, act_id=one.act, at=now + number * STEP, now=now)
        except (Refused, NeedsReview, Held) as error:
            for line in one.lines:
                found = [at_column(problem, rows[line].what) for problem in _problems(error)]
                rows[line].problems += found
                rows[line].becomes = "refused"


def planned_acts(said: Any) -> GearActsSaid:
    """The acts of a dry run as they are sent back (JSON text, or what it says), or Refused."""
    read = GearActsSaid.model_validate_json if isinstance(said, str) else (
        GearActsSaid.model_validate)  # fmt: skip
    try:
        return read(said)
    except ValidationError as error:
        raise problems_of(error) from None


def take_in(actor: Actor, said: GearActsSaid, *, now: datetime) -> int:
    """All the acts or none; gives how many. Sent twice, they are done once.

    Raises Refused with the lines of the file when something has changed since the dry run.
    """
    with transaction.atomic():
        for number, one in enumerate(said.acts):
            at = said.at + number * STEP
            try:
                done = submit(actor, one.kind, one.body, act_id=one.act, at=at, now=now)
            except (Refused, NeedsReview, Held) as error:
                raise Refused(*(_with_lines(x, one.lines) for x in _problems(error))) from None
            if done.state == CONFLICT:
                raise Refused(Problem("id", "id_with_other_content"))
    return len(said.acts)


def _problems(error: Refused | NeedsReview | Held) -> tuple[Problem, ...]:
    if isinstance(error, Held):
        return (Problem(error.field, "waits_for"),)
    found = error.problems if isinstance(error, Refused) else (error.problem,)
    return tuple(flat(one) for one in found)


def _with_lines(problem: Problem, lines: Sequence[int]) -> Problem:
    return replace(problem, values={**problem.values, "line": lines[0]}) if lines else problem
