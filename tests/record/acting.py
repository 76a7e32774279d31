"""Short ways to do an act and to be refused one, for the tests of acts."""

from datetime import datetime
from typing import Any

import pytest

from tests.world import START
from trapline.ground.errors import Held, NeedsReview, Refused
from trapline.people.rights import Actor
from trapline.record.desk import Outcome, submit


def do(actor: Actor, kind: str, body: dict[str, Any], at: datetime = START) -> Outcome:
    """The act, done at `at` and received then."""
    outcome = submit(actor, kind, body, at=at, now=at)
    assert outcome.state == "applied"
    return outcome


def refusal(actor: Actor, kind: str, body: dict[str, Any], at: datetime = START) -> tuple[str, str]:
    """Field and code of the first thing that is wrong with the act."""
    with pytest.raises((NeedsReview, Held, Refused)) as caught:
        submit(actor, kind, body, at=at, now=at)
    match caught.value:
        case Held() as error:
            return error.field, "waits_for"
        case NeedsReview() as error:
            return error.problem.field, error.problem.code
        case Refused() as error:
            return error.problems[0].field, error.problems[0].code
    raise AssertionError
