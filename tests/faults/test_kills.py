"""Processes are killed where it hurts most; the next goes on, nothing is lost or doubled."""

import time
from collections.abc import Iterator
from datetime import timedelta

import pytest
from django.core import mail
from django.db import connection

from tests.conftest import owner_connection
from tests.faults.procs import run
from tests.world import START, World, world_of
from trapline.celery import app
from trapline.duties.models import Duty, Notice, Transition
from trapline.ground import wake
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.journal.models import Act
from trapline.lines.models import Check
from trapline.people.change import raise_rule_stamp
from trapline.record.desk import submit
from trapline.watch.deliver import LOST_AFTER, deliver
from trapline.watch.redue import redue
from trapline.watch.sweep import sweep

DUE = START + timedelta(hours=24)
LATER = DUE + timedelta(hours=2)


@pytest.fixture
def world(transactional_db: None) -> Iterator[World]:
    yield world_of("north")


def counts(world: World) -> tuple[int, int, int]:
    with team_scope(world.team):
        return (
            Duty.objects.filter(state="overdue").count(),
            Transition.objects.filter(now="overdue").count(),
            Notice.objects.count(),
        )


def test_a_sweep_killed_before_its_commit_leaves_no_trace_and_the_next_does_it_once(
    world: World,
) -> None:
    for number in range(3):
        world.set(f"S{number}")
    killed = run(
        """
        from trapline.watch import sweep
        sweep.count_change = die   # after state, transitions and notices, before the commit
        sweep.sweep(moment)
        """,
        LATER,
    )
    assert killed == -9
    assert counts(world) == (0, 0, 0)
    sweep(LATER)
    sweep(LATER)
    assert counts(world) == (3, 3, 6)


def test_a_sweep_killed_between_two_batches_is_gone_on_with(world: World) -> None:
    for number in range(4):
        world.set(f"S{number}")
    killed = run(
        """
        from trapline.watch import sweep
        real, done = sweep.sweep_batch, []
        def once(*args):
            if done:
                die()
            done.append(1)
            return real(*args)
        sweep.sweep_batch = once
        sweep.sweep(moment, batch=2)
        """,
        LATER,
    )
    assert killed == -9
    assert counts(world) == (2, 2, 4)
    sweep(LATER)
    assert counts(world) == (4, 4, 8)


def test_a_reckoning_killed_halfway_goes_on_and_ends(world: World) -> None:
    for number in range(4):
        world.set(f"S{number}")
    raise_rule_stamp(world.team)
    killed = run(
        """
        from trapline.watch import redue
        real, done = redue.redue_batch, []
        def once(*args):
            if done:
                die()
            done.append(1)
            return real(*args)
        redue.redue_batch = once
        redue.redue(moment, batch=3)
        """,
        START + timedelta(hours=1),
    )
    assert killed == -9
    assert redue(START + timedelta(hours=1)) == 1
    assert redue(START + timedelta(hours=1)) == 0


def test_a_delivery_killed_in_flight_is_sent_later_under_the_same_message_id(
    world: World,
) -> None:
    world.set("S1")
    sweep(DUE - timedelta(hours=1))
    killed = run(
        """
        from trapline.watch import deliver
        deliver._send = die
        deliver.deliver(moment)
        """,
        DUE,
    )
    assert killed == -9
    with team_scope(world.team):
        assert Notice.objects.get().state == "in_flight"
    assert deliver(DUE + timedelta(minutes=1)) == 0  # it may still be on its way
    assert deliver(DUE + LOST_AFTER) == 1
    with team_scope(world.team):
        notice = Notice.objects.get()
    assert (notice.state, notice.attempts) == ("sent", 2)
    assert mail.outbox[0].extra_headers["Message-ID"] == f"<{notice.id}@lineward>"


def test_a_mail_server_that_refuses_leaves_the_notice_owed_with_its_reason(
    world: World, settings: object
) -> None:
    world.set("S1")
    sweep(DUE - timedelta(hours=1))
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"  # type: ignore[attr-defined]
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 1  # type: ignore[attr-defined]
    assert deliver(DUE) == 0
    with team_scope(world.team):
        notice = Notice.objects.get()
    assert (notice.state, notice.attempts) == ("queued", 1)
    assert notice.error.startswith("ConnectionRefusedError")
    assert notice.retry_after == DUE + timedelta(minutes=1)


def test_what_was_done_in_the_meantime_is_not_sent(world: World) -> None:
    set_id = world.set("S1")
    sweep(DUE - timedelta(hours=1))
    world.check(world.student, set_id, DUE - timedelta(minutes=30))
    assert deliver(DUE) == 0
    assert mail.outbox == []
    with team_scope(world.team):
        assert Notice.objects.get().state == "moot"


def test_an_act_whose_connection_dies_midway_is_still_owed_and_then_applied_once(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    from trapline.record import log_check

    set_id, act, at = world.set("S1"), new_id(), START + timedelta(hours=20)
    body = {"check": new_id(), "set": set_id, "found": "in_order", "done": ["left"]}

    def cut(*args: object, **kwargs: object) -> None:
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_backend_pid()")
            (pid,) = cursor.fetchone()
        with owner_connection() as link:
            link.execute("SELECT pg_terminate_backend(%s)", [pid])
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")

    with monkeypatch.context() as patched:
        patched.setattr(log_check, "fold", cut)
        with pytest.raises(Exception, match=r"terminat|closed"):
            submit(world.student, "log_check", body, act_id=act, at=at, now=at)
    connection.close()
    with team_scope(world.team):
        assert not Act.objects.filter(id=act).exists()
        assert not Check.objects.exists()
    again = submit(world.student, "log_check", body, act_id=act, at=at, now=at)
    assert again.state == "applied"
    with team_scope(world.team):
        assert Check.objects.count() == 1


@pytest.fixture
def redis_away(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Connections that stand are forgotten first, and so are those to nowhere afterwards."""
    with monkeypatch.context() as patched:
        patched.setattr(app.conf, "broker_url", "redis+socket:///tmp/no-such.sock")
        patched.setattr(wake._Workers, "away_until", 0.0)
        app._after_fork()
        yield
    app._after_fork()


@pytest.mark.usefixtures("redis_away")
def test_with_redis_away_an_alarm_is_still_taken_and_its_notices_stand_in_the_outbox(
    world: World,
) -> None:
    set_id, at = world.set("S1"), START + timedelta(hours=3)
    body = {"waiting": new_id(), "set": set_id, "alive": True}
    assert submit(world.student, "animal_waiting", body, at=at, now=at).state == "applied"
    with team_scope(world.team):
        told = set(Notice.objects.values_list("to__name", flat=True))
    assert told == {"Ivar", "Maud"}
    assert deliver(at) == 2
    assert wake._Workers.away_until > time.monotonic(), "the next act does not wait for Redis again"
