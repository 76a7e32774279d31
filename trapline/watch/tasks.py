"""What Celery wakes. Nothing is in a task's arguments that is not in a table: a lost wake-up

costs a minute, never a notice."""

from celery import shared_task

from trapline.ground import clock
from trapline.reports import runs
from trapline.watch import deliver as delivery
from trapline.watch import nightly as by_night
from trapline.watch import redue as reckoning
from trapline.watch import sweep as sweeping
from trapline.watch.held import redo_held, take_strays
from trapline.watch.look import look_over
from trapline.watch.tallying import tally_all


@shared_task(ignore_result=True)  # type: ignore[untyped-decorator]
def sweep() -> None:
    """Take up held acts, then whatever has come due, look at the sets, and wake the delivery; then
    count the tallies, for which nobody waits."""
    moment = clock.now()
    take_strays(moment)
    redo_held(moment)
    taken = sweeping.sweep(moment)
    look_over(moment)
    if taken:
        deliver.delay()
    tally_all(moment)


@shared_task(ignore_result=True)  # type: ignore[untyped-decorator]
def redue() -> None:
    """Reckon duties and findings again after a change of what they rest on."""
    moment = clock.now()
    reckoning.redue(moment)
    look_over(moment)


@shared_task(ignore_result=True)  # type: ignore[untyped-decorator]
def deliver() -> None:
    """Send what the outbox owes."""
    delivery.deliver(clock.now())


@shared_task(ignore_result=True)  # type: ignore[untyped-decorator]
def make_files() -> None:
    """Make the long files that were asked for."""
    runs.make_owed()


@shared_task(ignore_result=True)  # type: ignore[untyped-decorator]
def nightly() -> None:
    """Reckon what is reckoned once a night, where it is past midnight."""
    by_night.nightly(clock.now())
