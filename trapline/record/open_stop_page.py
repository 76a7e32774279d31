"""The stop page was opened: an officer was shown what they ask for. The act itself is the note."""

from trapline.record.acting import Body, Desk, Kind
from trapline.record.envelope import Moment


class OpenStopPage(Body):
    """`carried_at`: when the phone had fetched what it showed."""

    carried_at: Moment | None = None


def apply(desk: Desk, body: OpenStopPage) -> None:
    """Nothing else follows from it: who, when and how old the shown state was stand in the book."""


KIND = Kind("open_stop_page", {1: OpenStopPage}, apply)
