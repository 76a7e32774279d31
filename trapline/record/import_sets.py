"""Sets from a file: first a dry run that shows what would happen, then an act for each row.

The dry run makes the acts with their ids, takes each to the desk as it would be taken, and rolls
all of it back. What comes back can be sent as it is, twice if need be: an act is known by its id.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction
from pydantic import BaseModel, Field, ValidationError

from trapline.ground.errors import Held, NeedsReview, Problem, Refused
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.lines.formats.csv_in import MEASURES, PLAIN
from trapline.lines.formats.draft import MOST_ROWS, Draft, Row
from trapline.people.rights import Actor
from trapline.record.desk import submit
from trapline.record.envelope import Moment, flat, problems_of
from trapline.record.import_names import Names


@dataclass(frozen=True)
class Defaults:
    """What the form says for rows that do not say it themselves. device_kind: take free ones."""

    line: UUID | None = None
    licence: UUID | None = None
    responsible: UUID | None = None
    placement: str | None = None
    targets: tuple[UUID, ...] = ()
    device_kind: UUID | None = None
    at: datetime | None = None


@dataclass(frozen=True)
class PlannedAct:
    """A place_set act as it would be sent."""

    act: UUID
    at: datetime
    body: dict[str, Any]


class ActSaid(BaseModel, extra="forbid"):
    """A set as the dry run gave it."""

    act: UUID
    at: Moment
    body: dict[str, Any]


class ActsSaid(BaseModel, extra="forbid"):
    """The acts of a dry run, all or some of them."""

    acts: list[ActSaid] = Field(max_length=MOST_ROWS)


def planned_acts(said: Any) -> list[PlannedAct]:
    """The acts of a dry run as they are sent back (JSON text, or what it says), or Refused."""
    read = ActsSaid.model_validate_json if isinstance(said, str) else ActsSaid.model_validate
    try:
        found = read(said)
    except ValidationError as error:
        raise problems_of(error) from None
    return [PlannedAct(one.act, one.at, one.body) for one in found.acts]


@dataclass(frozen=True)
class Planned:
    """What would become of one row: an act without problems, or problems."""

    line_no: int
    label: str
    act: PlannedAct | None
    problems: tuple[Problem, ...]


@dataclass(frozen=True)
class Placed:
    """What became of one act: applied, known, conflict or refused."""

    act: UUID
    state: str
    problems: tuple[Problem, ...]


def dry_run(
    actor: Actor, rows: Sequence[Row], defaults: Defaults, *, now: datetime
) -> list[Planned]:
    """What would happen, row by row. Nothing is written."""
    drafts = [row.draft for row in rows if row.draft is not None]
    with transaction.atomic(), team_scope(actor.team):
        names = Names(actor.team, drafts, defaults.device_kind)
        planned = [_plan(row, names, defaults, now) for row in rows]
        tried = [_tried(actor, one, now) for one in planned]
        transaction.set_rollback(True)
    return tried


def place(actor: Actor, acts: Sequence[PlannedAct], *, now: datetime) -> list[Placed]:
    """Place the sets of a dry run, each in its own transaction, answered after its commit."""
    placed = []
    for one in acts:
        try:
            outcome = submit(actor, "place_set", one.body, act_id=one.act, at=one.at, now=now)
        except (Refused, NeedsReview, Held) as error:
            placed.append(Placed(one.act, "refused", _problems(error)))
        else:
            placed.append(Placed(one.act, outcome.state, outcome.problems))
    return placed


def _tried(actor: Actor, one: Planned, now: datetime) -> Planned:
    if one.act is None:
        return one
    try:
        submit(actor, "place_set", one.act.body, act_id=one.act.act, at=one.act.at, now=now)
    except (Refused, NeedsReview, Held) as error:
        return Planned(one.line_no, one.label, None, _problems(error))
    return one


def _problems(error: Refused | NeedsReview | Held) -> tuple[Problem, ...]:
    if isinstance(error, Held):
        return (Problem(error.field, "waits_for"),)
    found = error.problems if isinstance(error, Refused) else (error.problem,)
    return tuple(flat(one) for one in found)


def _plan(row: Row, names: Names, defaults: Defaults, now: datetime) -> Planned:
    draft = row.draft
    if draft is None:
        return Planned(row.line_no, "", None, row.problems)
    filling = _Filling(draft, names, defaults, [])
    body = filling.body()
    if filling.problems:
        return Planned(row.line_no, draft.label, None, tuple(filling.problems))
    act = PlannedAct(new_id(), draft.at or defaults.at or now, body)
    return Planned(row.line_no, draft.label, act, ())


@dataclass
class _Filling:
    """One row's body as it is put together: the row's words first, then the form's."""

    draft: Draft
    names: Names
    defaults: Defaults
    problems: list[Problem]

    def body(self) -> dict[str, Any]:
        """The act's body as plain JSON; what of it cannot be found stands in `problems`."""
        words, defaults = self.draft.words, self.defaults
        said: dict[str, Any] = {
            "set": str(new_id()),
            "label": self.draft.label,
            "place": [self.draft.lon, self.draft.lat],
            "line": self._named("line", defaults.line),
            "licence": self._named("licence", defaults.licence),
            "device": self._device(),
            "placement": words.get("placement") or self._needed("placement", defaults.placement),
            "targets": self._targets(),
        }
        if "responsible" in words or defaults.responsible is not None:  # else: who acts
            said["responsible"] = self._named("responsible", defaults.responsible)
        for field in PLAIN:
            if field in words and field not in said:
                said[field] = float(words[field]) if field in MEASURES else words[field]
        return said

    def _named(self, field: str, default: UUID | None) -> str | None:
        text = self.draft.words.get(field)
        return self._needed(field, default) if text is None else self._found(field, text)

    def _found(self, field: str, text: str) -> str | None:
        key = self.names.find(field, text)
        if isinstance(key, Problem):
            self.problems.append(key)
            return None
        return str(key)

    def _needed(self, field: str, default: object) -> str | None:
        if default is None:
            self.problems.append(Problem(field, "row_not_said"))
            return None
        return str(default)

    def _device(self) -> str | None:
        if "device" in self.draft.words or self.defaults.device_kind is None:
            return self._named("device", None)
        key = self.names.next_free()
        if key is None:
            self.problems.append(Problem("device", "row_no_free_device"))
        return None if key is None else str(key)

    def _targets(self) -> list[str | None]:
        codes = self.draft.words.get("targets", "").replace(";", " ").split()
        if codes:
            return [self._found("targets", code) for code in codes]
        return [str(key) for key in self.defaults.targets]
