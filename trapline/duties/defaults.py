"""What a new team begins with: skills to be signed off for, and who is told when."""

from dataclasses import dataclass
from datetime import timedelta

from trapline.duties.models import Channel, Kind, Recipient
from trapline.gear.models import DeviceClass


@dataclass(frozen=True)
class StageSaid:
    """Who is told how long after a duty falls due; before it, if negative."""

    after: timedelta
    recipient: Recipient
    channel: Channel = Channel.EMAIL

    @property
    def offset_s(self) -> int:
        return int(self.after.total_seconds())


AT_ONCE = timedelta(0)
WHO_AND_OVER = (Recipient.RESPONSIBLE, Recipient.INSTRUCTOR, Recipient.MANAGERS)

STAGES: dict[Kind, tuple[StageSaid, ...]] = {
    Kind.CHECK: (
        StageSaid(timedelta(hours=-4), Recipient.RESPONSIBLE),
        StageSaid(AT_ONCE, Recipient.RESPONSIBLE),
        StageSaid(timedelta(hours=1), Recipient.INSTRUCTOR),
        StageSaid(timedelta(hours=12), Recipient.MANAGERS),
    ),
    Kind.WAITING: tuple(StageSaid(AT_ONCE, who) for who in WHO_AND_OVER),
    Kind.SEARCH: tuple(StageSaid(AT_ONCE, who) for who in WHO_AND_OVER),
    Kind.PULL: (
        StageSaid(timedelta(days=-3), Recipient.RESPONSIBLE),
        StageSaid(timedelta(hours=-12), Recipient.RESPONSIBLE),
        StageSaid(AT_ONCE, Recipient.RESPONSIBLE),
        StageSaid(AT_ONCE, Recipient.MANAGERS),
    ),
    Kind.REPORT: (
        StageSaid(timedelta(hours=-4), Recipient.RESPONSIBLE),
        StageSaid(AT_ONCE, Recipient.RESPONSIBLE),
        StageSaid(timedelta(hours=1), Recipient.MANAGERS),
    ),
    Kind.SEAL: (
        StageSaid(timedelta(days=-2), Recipient.RESPONSIBLE),
        StageSaid(AT_ONCE, Recipient.RESPONSIBLE),
        StageSaid(timedelta(days=1), Recipient.MANAGERS),
    ),
    Kind.SAMPLE: (
        StageSaid(timedelta(days=-2), Recipient.RESPONSIBLE),
        StageSaid(AT_ONCE, Recipient.RESPONSIBLE),
        StageSaid(timedelta(days=1), Recipient.MANAGERS),
    ),
    Kind.FILE: (
        StageSaid(timedelta(days=-14), Recipient.RESPONSIBLE),
        StageSaid(timedelta(days=-2), Recipient.RESPONSIBLE),
        StageSaid(AT_ONCE, Recipient.MANAGERS),
    ),
    Kind.RENEW: (
        StageSaid(timedelta(days=-14), Recipient.MANAGERS),
        StageSaid(AT_ONCE, Recipient.MANAGERS),
        StageSaid(timedelta(days=14), Recipient.MANAGERS),
    ),
    Kind.STOCK: (
        StageSaid(timedelta(days=-14), Recipient.MANAGERS),
        StageSaid(AT_ONCE, Recipient.MANAGERS),
    ),
}

DISPATCH, ON_ICE = "dispatch", "on_ice"

# Codes with their English names: a team may rename them; the acts look for `dispatch` by its code.
SKILLS: dict[str, str] = {
    **{one.value: str(one.label) for one in DeviceClass},
    DISPATCH: "Dispatch",
    ON_ICE: "Work on ice",
}
