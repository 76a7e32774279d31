"""`manage.py sweep`: what the machine does by itself, once, at a moment of your choosing."""

from datetime import datetime
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from trapline.ground import clock
from trapline.watch.deliver import deliver
from trapline.watch.held import redo_held
from trapline.watch.look import look_over
from trapline.watch.redue import redue
from trapline.watch.sweep import sweep
from trapline.watch.tallying import tally_all

LIKE = "write it like 2026-01-06T12:00:00-07:00."


class Command(BaseCommand):
    help = "Take up held acts, reckon again after rule changes, mark what is overdue, send notices."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--now", help="the moment, with its offset: 2026-01-06T12:00:00-07:00")
        parser.add_argument("--no-delivery", action="store_true", help="leave the outbox as it is")

    def handle(self, *args: Any, **options: Any) -> None:
        moment = _moment(options["now"])
        held = redo_held(moment)
        redone = redue(moment)
        taken = sweep(moment)
        looked = look_over(moment)
        counted = tally_all(moment)
        sent = 0 if options["no_delivery"] else deliver(moment)
        self.stdout.write(
            f"{held} held acts applied, {redone} sets reckoned again, {taken} duties taken,"
            f" {looked} sets looked at, {counted} counted, {sent} notices sent,"
            f" as of {moment.isoformat()}"
        )


def _moment(said: str | None) -> datetime:
    if said is None:
        return clock.now()
    try:
        moment = datetime.fromisoformat(said)
    except ValueError:
        raise CommandError(f"--now {said!r} is no date and time; {LIKE}") from None
    if moment.tzinfo is None:
        raise CommandError(f"--now {said!r} lacks its offset; {LIKE}")
    return moment
