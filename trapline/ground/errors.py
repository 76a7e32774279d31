"""What can go wrong with something a person asked for: codes and numbers, no sentences."""

import dataclasses
from dataclasses import dataclass
from typing import Any
from uuid import UUID


@dataclass(frozen=True)
class Problem:
    """One thing wrong: where (a dotted path), which (a code of words.py), with which values."""

    field: str
    code: str
    values: dict[str, Any] = dataclasses.field(default_factory=dict)


class LinewardError(Exception):
    """Base of the project's own errors."""


class Refused(LinewardError):
    """What was sent cannot be read as what it says it is. Only malformed input is refused."""

    def __init__(self, *problems: Problem) -> None:
        super().__init__("; ".join(f"{p.field}: {p.code}" for p in problems))
        self.problems = problems


class NeedsReview(LinewardError):
    """Well formed, but it cannot simply be applied: a person has to look."""

    def __init__(self, field: str, code: str, **values: Any) -> None:
        super().__init__(f"{field}: {code}")
        self.problem = Problem(field, code, values)


class Held(LinewardError):
    """It rests on something that is not here (or not this person's): it waits. Never told apart."""

    def __init__(self, field: str, needs: UUID) -> None:
        super().__init__(f"{field}: waits for {needs}")
        self.field = field
        self.needs = needs


class NotYours(LinewardError):
    """Unknown or forbidden; the two look the same from outside (404)."""
