"""Who is told when: a team's stages of one kind of duty, set anew."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from trapline.duties.defaults import StageSaid
from trapline.duties.models import Kind
from trapline.ground import sql


def set_stages(team: UUID, kind: Kind, stages: Sequence[StageSaid], moment: datetime) -> int:
    """Put these stages in place of the team's and bring open duties in line with them.

    One statement; gives how many open duties there are. Nobody is told of a moment that has passed
    already, unless the sweep still owed it. New stages are numbered on from the last that any open
    duty has told, since a notice is unique by its duty and number. A duty that another act opens at
    the same instant may keep the old stages' first moment.
    """
    return sql.run(
        "trapline.duties",
        "restage",
        {
            "team": team,
            "kind": kind.value,
            "offsets": [stage.offset_s for stage in stages],
            "recipients": [stage.recipient.value for stage in stages],
            "channels": [stage.channel.value for stage in stages],
            "moment": moment,
        },
    )
