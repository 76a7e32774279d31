"""A phone's queue: a batch of acts, each as the bytes it was serialised to once."""

from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema
from pydantic import BaseModel, Field, ValidationError
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from trapline.api.base import View
from trapline.api.problems import told
from trapline.api.rules import SIGNED_IN
from trapline.api.shown import ProblemTold
from trapline.ground import clock
from trapline.record.envelope import Moment, problems_of
from trapline.record.sync import MOST_ACTS, receive


class Batch(BaseModel, extra="forbid"):
    """`sent_at` is the device's own clock as it sends: its skew corrects every act's time."""

    sent_at: Moment
    acts: list[str] = Field(
        max_length=MOST_ACTS,
        description="Each act as a string: the very text that was serialised on the phone.",
    )


class Answered(serializers.Serializer[Any]):
    """What became of one act, in the order they were sent."""

    id = serializers.UUIDField(allow_null=True, help_text="Null: the act could not be read.")
    state = serializers.ChoiceField(
        choices=["applied", "known", "conflict", "held", "needs_review", "refused"]
    )
    was = serializers.CharField(allow_blank=True, help_text="Of a known act: the state it has.")
    kept = serializers.BooleanField(help_text="The server has its bytes: forget them.")
    problems = ProblemTold(many=True)


class Answers(serializers.Serializer[Any]):
    """One answer for each act."""

    received_at = serializers.DateTimeField()
    skew_s = serializers.FloatField(help_text="The device's clock less the server's.")
    acts = Answered(many=True)


_ACT = (
    '{"id":"0197f2a0-0000-7000-8000-000000000006","kind":"log_check","version":1,'
    '"team":"north","wall_at":"2026-01-05T09:12:00-07:00","body":{"check":'
    '"0197f2a0-0000-7000-8000-000000000007","set":"0197f2a0-0000-7000-8000-000000000005",'
    '"found":"in_order","done":["left"]}}'
)
_EXAMPLE = OpenApiExample(
    "A check", {"sent_at": "2026-01-05T17:40:03-07:00", "acts": [_ACT]}, request_only=True
)


class Sync(View):
    """Acts come in, in their order, each in its own transaction, answered after its commit.

    applied: done. known: the same id and bytes came before. conflict: the same id with other bytes;
    nothing changed. held: it rests on something that is not here; it is kept and tried again.
    needs_review: kept until a leader has looked. refused: it cannot be read; the phone keeps it.
    """

    rules = {"POST": SIGNED_IN}

    @extend_schema(request=Batch, responses=Answers, examples=[_EXAMPLE])
    def post(self, request: Request, **kwargs: Any) -> Response:
        received_at = clock.now()
        batch = read(request.data)
        outcomes = receive(
            request.user,
            [text.encode() for text in batch.acts],
            sent_at=batch.sent_at,
            received_at=received_at,
        )
        answers = [
            {
                "id": outcome.act,
                "state": outcome.state,
                "was": outcome.was,
                "kept": outcome.state not in ("refused", "conflict"),
                "problems": [told(problem) for problem in outcome.problems],
            }
            for outcome in outcomes
        ]
        skew_s = (batch.sent_at - received_at).total_seconds()
        said = {"received_at": received_at, "skew_s": skew_s, "acts": answers}
        return Response(Answers(said).data)


def read(data: Any) -> Batch:
    """The batch, or Refused with each field that cannot be read."""
    try:
        return Batch.model_validate(data)
    except ValidationError as error:
        raise problems_of(error) from None
