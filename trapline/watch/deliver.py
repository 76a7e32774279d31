"""Delivery: notices leave the outbox by e-mail, at least once, under one Message-ID each."""

from datetime import datetime, timedelta
from uuid import UUID

from django.core.mail import EmailMessage
from django.db import transaction

from trapline.duties.models import Notice, NoticeState
from trapline.duties.notice_text import message_of
from trapline.ground import sql
from trapline.ground.scope import team_scope

BATCH = 50
LOST_AFTER = timedelta(minutes=10)  # in flight longer than this: its sender died
MOST_ATTEMPTS = 8


def deliver(moment: datetime, *, batch: int = BATCH) -> int:
    """Send what the outbox owes; gives how many were sent. Any number may run at once."""
    sent = 0
    while flying := _claim(moment, batch):
        for notice, team, state in flying:
            if state == NoticeState.FLYING:
                sent += _send(notice, team, moment)
    return sent


def _claim(moment: datetime, batch: int) -> list[tuple[UUID, UUID, str]]:
    """Put a batch in flight and commit, before anything is sent. An all-team statement."""
    with transaction.atomic():
        return sql.rows(
            "trapline.watch",
            "flying",
            {"moment": moment, "lost_before": moment - LOST_AFTER, "batch": batch},
        )


def _send(key: UUID, team: UUID, moment: datetime) -> int:
    with team_scope(team):
        notice = Notice.objects.select_related(
            "team",
            "to__person",
            "duty__of_line",
            "duty__set",
            "duty__waiting__set",
            "duty__rule",
            "duty__caught__species",
            "duty__caught__check_made__set",
            "duty__permission",
            "duty__licence",
        ).get(id=key)
        try:
            message = message_of(notice)
            if message is None:
                _settle(notice, NoticeState.FAILED, moment, "no_address")
                return 0
            mail = EmailMessage(
                message.subject,
                message.text,
                to=[message.address],
                # The same notice sent twice is one message to whoever reads it.
                headers={"Message-ID": f"<{notice.id}@lineward>"},
            )
            mail.send()
        except Exception as error:  # whatever a mail server does, the notice stays owed
            _settle(notice, NoticeState.QUEUED, moment, f"{type(error).__name__}: {error}")
            return 0
        _settle(notice, NoticeState.SENT, moment, "")
        return 1


def _settle(notice: Notice, state: NoticeState, moment: datetime, error: str) -> None:
    if state == NoticeState.QUEUED and notice.attempts >= MOST_ATTEMPTS:
        state = NoticeState.FAILED
    Notice.objects.filter(id=notice.id, state=NoticeState.FLYING).update(
        state=state,
        error=error[:500],
        flying_since=None,
        sent_at=moment if state == NoticeState.SENT else None,
        # 1, 2, 4 ... minutes, at most about two hours.
        retry_after=moment + timedelta(minutes=2 ** min(notice.attempts - 1, 7)),
    )
