"""Settling in: who is told of a duty, and when. The team's setting, not a fact."""

from datetime import timedelta
from typing import Annotated

from pydantic import Field

from trapline.duties.defaults import StageSaid
from trapline.duties.models import Channel, Recipient
from trapline.duties.models import Kind as DutyKind
from trapline.duties.stages import set_stages
from trapline.ground.errors import NeedsReview
from trapline.record.acting import Body, Desk, Kind

DAY_S = 86_400


class Stage(Body):
    """Who is told, how many seconds after the duty falls due (before it, if negative)."""

    offset_s: Annotated[int, Field(ge=-60 * DAY_S, le=60 * DAY_S)]
    recipient: Recipient
    channel: Channel = Channel.EMAIL


class SetNoticeStages(Body):
    """All stages of one kind of duty, in place of those there were."""

    kind: DutyKind
    stages: list[Stage] = Field(max_length=12)


def apply(desk: Desk, body: SetNoticeStages) -> None:
    if not desk.actor.manages:
        raise NeedsReview("kind", "only_managers", what="set_notice_stages")
    for number, stage in enumerate(body.stages):
        if stage in body.stages[:number]:
            raise NeedsReview(f"stages.{number}", "stage_twice")
    said = [
        StageSaid(timedelta(seconds=stage.offset_s), stage.recipient, stage.channel)
        for stage in body.stages
    ]
    set_stages(desk.team, body.kind, said, desk.received_at)


KINDS = (Kind("set_notice_stages", {1: SetNoticeStages}, apply),)
