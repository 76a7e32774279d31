"""Take a rulebook in: write its version and raise the team's stamp, no more."""

from typing import Annotated

from pydantic import PlainValidator

from trapline.ground.errors import NeedsReview
from trapline.record.acting import Body, Desk, Kind
from trapline.rulebook.intake import write_version
from trapline.rulebook.schema import Document, read_document


class TakeRulebook(Body):
    """The document as rulebook/schema.py reads it; its problems carry their own paths."""

    document: Annotated[Document, PlainValidator(read_document)]


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
