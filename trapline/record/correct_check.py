"""Correct a check: a new record that names the one it corrects; both stay."""

from typing import Self
from uuid import UUID

from pydantic import model_validator

from trapline.ground.errors import Held, NeedsReview
from trapline.lines.models import Check
from trapline.record.acting import Body, Desk, Kind
from trapline.record.after import settle
from trapline.record.asking import ask_of_catches, handed_on, rules_now
from trapline.record.at_hand import set_at_hand
from trapline.record.check_body import CheckSaid
from trapline.record.log_check import undo, visits_changed, write_check
from trapline.record.waiting_ends import reopen_waiting


class CorrectCheck(Body):
    """`check` says it as it was; or `withdraw`, when the check was never made."""

    corrects: UUID
    withdraw: bool = False
    check: CheckSaid | None = None

    @model_validator(mode="after")
    def one_or_the_other(self) -> Self:
        if self.withdraw == (self.check is not None):
            raise ValueError("say the check as it was, or that it is withdrawn")
        return self


def apply(desk: Desk, body: CorrectCheck) -> None:
    wrong = Check.objects.filter(id=body.corrects).first()
    if wrong is None:
        raise Held("corrects", body.corrects)
    hand = set_at_hand(desk, wrong.set_id, "corrects")
    if not desk.actor.leads and wrong.by_id != desk.actor.member:
        raise NeedsReview("corrects", "not_your_check")
    if Check.objects.filter(corrects_id=wrong.id).exists():
        raise NeedsReview("corrects", "corrected_before")
    if body.check is not None and body.check.set != wrong.set_id:
        raise NeedsReview("check.set", "other_set")
    # The corrected check tells of the same moment; when it was corrected stands in the act.
    told = Desk(
        actor=desk.actor, sender=desk.sender, act=desk.act, at=wrong.at,
        received_at=desk.received_at, clock_flagged=desk.clock_flagged,
        overruled=desk.overruled, flags=[*desk.flags, "correction"],
    )  # fmt: skip
    if body.check is None:
        _withdraw(told, wrong)
        undo(told, wrong)
        ask_of_catches(told, hand, (), rules_now(told), carried=handed_on(wrong, ()))
    else:
        write_check(told, hand, body.check, told.flags, rules_now(told), corrects=wrong)
    reopen_waiting(told, wrong.act_id, body.check)
    settle(told, hand.id, since=wrong.at, caught=True)
    visits_changed(told, hand, wrong, body.check)


def _withdraw(desk: Desk, wrong: Check) -> None:
    Check.objects.create(
        **desk.written(), set_id=wrong.set_id, by_id=desk.actor.member, tz=wrong.tz,
        local_date=wrong.local_date, how_seen=wrong.how_seen, found=wrong.found,
        sign=wrong.sign, gone_how=wrong.gone_how, counts=False, corrects_id=wrong.id,
        withdraws=True, flags=["withdrawn"],
    )  # fmt: skip


KIND = Kind("correct_check", {1: CorrectCheck}, apply)
