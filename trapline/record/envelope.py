"""How an act travels: serialised once, where it was made; those bytes are what is kept."""

import hashlib
import json
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from typing import Annotated, Any
from uuid import UUID

from pydantic import AfterValidator, AwareDatetime, BaseModel, ConfigDict, Field, ValidationError
from pydantic_core import PydanticCustomError

from trapline.ground.errors import Problem, Refused
from trapline.ground.keepable import unkeepable_path

MOST_BYTES = 2 * 1024 * 1024  # a rulebook with its zones is the largest act
# A disagreement of clocks beyond this is flagged, never repaired.
TOLERATED = timedelta(minutes=2)


def _reckonable(value: datetime) -> datetime:
    """In UTC, and of the years in which deadlines can be worked out, whatever a clock's skew.

    PostgreSQL takes no offset beyond 15:59:59, which ISO 8601 allows.
    """
    if not 1900 <= value.year < 2200:
        raise PydanticCustomError("datetime_range", "a moment from 1900 to 2199 is needed")
    return value.astimezone(UTC)


Moment = Annotated[AwareDatetime, AfterValidator(_reckonable)]


class Envelope(BaseModel):
    """The outside of an act. `team`: the team's address; `wall_at`: what its clock said."""

    model_config = ConfigDict(extra="forbid")

    id: UUID
    kind: str = Field(max_length=40)
    version: int = Field(ge=1, le=32767)
    team: str = Field(max_length=80)
    wall_at: Moment
    mono_s: float | None = None
    session: str = Field(default="", max_length=80)
    fix_at: Moment | None = None
    needs: list[UUID] = Field(default_factory=list, max_length=20)
    acted_by: UUID | None = None
    body: dict[str, Any]


def problems_of(error: ValidationError, prefix: str = "") -> Refused:
    """Pydantic's findings as ours: dotted field path, code, the limit that was passed."""
    return Refused(
        *(
            Problem(
                (prefix + ".".join(str(step) for step in found["loc"])).rstrip(".") or "body",
                f"shape_{found['type']}",
                {"said": _sentence(found["msg"].removeprefix("Value error, "))},
            )
            for found in error.errors(include_url=False, include_input=False)
        )
    )


def _sentence(said: str) -> str:
    """The finding as the beginning of a sentence; its end is the words' own."""
    return said[:1].upper() + said[1:].rstrip(".")


def flat(problem: Problem) -> Problem:
    """A problem of an act, its field named as where there is no envelope: a call, a file's row."""
    field = problem.field.removeprefix("body.")
    return Problem("at" if field == "wall_at" else field, problem.code, problem.values)


def parse(raw: bytes) -> Envelope:
    """Read an envelope. Raises Refused with the field and the reason."""
    if len(raw) > MOST_BYTES:
        raise Refused(Problem("body", "too_large", {"most": MOST_BYTES}))
    try:
        letter = Envelope.model_validate_json(raw)
    except ValidationError as error:
        raise problems_of(error) from None
    if b"\\u0000" in raw and (path := unkeepable_path(letter.model_dump(mode="json"))) is not None:
        raise Refused(Problem(path or "body", "json_text"))
    return letter


def build(
    *, act: UUID, kind: str, team: str, at: datetime, body: dict[str, Any], version: int = 1
) -> bytes:
    """The bytes of an act made on the server itself: a form, a REST call, an import."""
    written = {
        "id": str(act),
        "kind": kind,
        "version": version,
        "team": team,
        "wall_at": at.astimezone(UTC).isoformat(),
        "body": body,
    }
    return json.dumps(written, separators=(",", ":"), ensure_ascii=False, default=str).encode()


def digest(raw: bytes) -> bytes:
    """The SHA-256 of the bytes as sent."""
    return hashlib.sha256(raw).digest()


def clock_disagrees(envelope: Envelope, acted_at: datetime, received_at: datetime) -> bool:
    """Whether the times an act brings contradict each other by over two minutes."""
    if acted_at > received_at + TOLERATED:
        return True
    return envelope.fix_at is not None and abs(envelope.fix_at - acted_at) > TOLERATED


def set_back(letters: Iterable[Envelope]) -> set[UUID]:
    """Acts after which their device's clock was set back by over two minutes, before a later one.

    letters: in the order in which they were made. A monotonic clock stops while a device sleeps, so
    within one session it may lag behind the wall clock but never run ahead: where it does, the wall
    clock was set back. Set forward and asleep look alike, and prove nothing.
    """
    ahead: dict[str, float] = {}  # of a session: how far the monotonic clock ran ahead, later on
    found = set()
    for letter in reversed(list(letters)):
        if letter.mono_s is None or not letter.session:
            continue
        gap = letter.mono_s - letter.wall_at.timestamp()
        if ahead.get(letter.session, gap) - gap > TOLERATED.total_seconds():
            found.add(letter.id)
        ahead[letter.session] = max(gap, ahead.get(letter.session, gap))
    return found
