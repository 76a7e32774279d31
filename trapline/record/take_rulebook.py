"""Take a rulebook in: write its version and raise the team's stamp, no more."""

from typing import Annotated

from pydantic import PlainValidator

from trapline.ground.errors import NeedsReview, Problem, Refused
from trapline.record.acting import Body, Desk, Kind
from trapline.rulebook.intake import write_version
from trapline.rulebook.schema import Document, read_document


def _read(value: object) -> Document:
    """The document as rulebook/schema.py reads it, its problems' paths as the act's."""
    try:
        return read_document(value)
    except Refused as error:
        raise Refused(
            *(Problem(f"body.document.{one.field}", one.code, one.values) for one in error.problems)
        ) from None


class TakeRulebook(Body):
    """A whole rulebook."""

    document: Annotated[Document, PlainValidator(_read)]


def apply(desk: Desk, body: TakeRulebook) -> None:
    if not desk.actor.manages:
        raise NeedsReview("document", "only_managers", what="take_rulebook")
    write_version(
        act_id=desk.act,
        team=desk.team,
        taken_by=desk.actor.member,
        document=body.document,
    )


KIND = Kind("take_rulebook", {1: TakeRulebook}, apply)
