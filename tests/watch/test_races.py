"""Each race first with its guard off, so that the test shows something, then with it on."""

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection

from tests.conftest import owner_connection
from tests.world import START, World, world_of
from trapline.duties.models import Duty, Notice, Transition
from trapline.ground import sql
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.people.change import raise_rule_stamp
from trapline.record.desk import submit
from trapline.standing.models import Interval
from trapline.watch import redue as reckoning
from trapline.watch import sweep as sweeping

DUE = START + timedelta(hours=24)
pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def real_world(transactional_db: None) -> World:
    return world_of("north")


def together(*jobs: Callable[[], Any]) -> list[Any]:
    """Run jobs at once, each on a connection of its own; what each gave, or its exception."""
    results: list[Any] = [None] * len(jobs)

    def run(number: int, job: Callable[[], Any]) -> None:
        try:
            results[number] = job()
        except Exception as error:
            results[number] = error
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=pair) for pair in enumerate(jobs)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)
    return results


@contextmanager
def without(monkeypatch: pytest.MonkeyPatch, *taken_out: str) -> Iterator[None]:
    """The same SQL texts with the guard's words taken out."""
    whole = sql.text

    def cut(package: str, name: str) -> str:
        said = whole(package, name)
        for words in taken_out:
            said = said.replace(words, "")
        return said

    with monkeypatch.context() as patched:
        patched.setattr(sql, "text", cut)
        yield


def meeting(monkeypatch: pytest.MonkeyPatch, place: Any, name: str, parties: int) -> None:
    """Let all workers reach `place.name` before any goes on (at most two seconds)."""
    barrier, real = threading.Barrier(parties), getattr(place, name)

    def wait(*args: Any, **kwargs: Any) -> Any:
        with suppress(threading.BrokenBarrierError):
            barrier.wait(timeout=2)
        return real(*args, **kwargs)

    monkeypatch.setattr(place, name, wait)


def first_waits_for_the_second(
    monkeypatch: pytest.MonkeyPatch, place: Any, name: str, then: Callable[[], Any] = lambda: None
) -> None:
    """Whoever first reaches `place.name` calls `then`, and goes on when another waits for it."""
    real, first = getattr(place, name), threading.Lock()

    def hold(*args: Any, **kwargs: Any) -> Any:
        if first.acquire(blocking=False):
            then()
            _until_someone_waits()
        return real(*args, **kwargs)

    monkeypatch.setattr(place, name, hold)


def _until_someone_waits() -> None:
    with owner_connection() as link:
        for _ in range(600):
            row = link.execute("SELECT count(*) FROM pg_locks WHERE NOT granted").fetchone()
            if row and row[0]:
                return
            time.sleep(0.01)


def marks(world: World) -> tuple[int, int]:
    with team_scope(world.team):
        return Transition.objects.filter(now="overdue").count(), Notice.objects.count()


def test_without_the_lock_workers_that_sweep_at_once_mark_a_set_twice(
    real_world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    real_world.set("S1")
    first_waits_for_the_second(monkeypatch, sweeping, "count_change")
    with without(monkeypatch, "FOR NO KEY UPDATE OF d SKIP LOCKED"):
        together(*[lambda: sweeping.sweep_batch(real_world.team, DUE)] * 2)
    assert marks(real_world)[0] == 2


@pytest.mark.parametrize("workers", [2, 6])
def test_however_many_workers_sweep_at_once_each_set_is_marked_and_told_once(
    real_world: World, workers: int
) -> None:
    for number in range(5):
        real_world.set(f"S{number}")
    together(*[lambda: sweeping.sweep(DUE, batch=2)] * workers)
    together(*[lambda: sweeping.sweep(DUE + timedelta(hours=2), batch=2)] * workers)
    # Per set: one overdue mark, one notice to the student, one to the instructor.
    assert marks(real_world) == (5, 10)


def _moves_the_due_moment_midway(world: World, monkeypatch: pytest.MonkeyPatch) -> None:
    """A rule change lands after the sweep has decided and before it writes."""
    real = getattr(sweeping, "advance")  # noqa: B009

    def slow(*args: Any) -> None:
        (outcome,) = together(lambda: _later(world))
        assert outcome is None
        real(*args)

    monkeypatch.setattr(sweeping, "advance", slow)


def _later(world: World) -> None:
    with connection.cursor() as cursor:
        cursor.execute("SET lock_timeout = '500ms'")
        cursor.execute(
            "UPDATE duties_duty SET due_at = due_at + interval '1 day',"
            " next_at = next_at + interval '1 day' WHERE team_id = %s",
            [world.team],
        )


def test_without_lock_and_compare_a_change_midway_gives_a_false_overdue(
    real_world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    real_world.set("S1")
    _moves_the_due_moment_midway(real_world, monkeypatch)
    with without(
        monkeypatch,
        "FOR NO KEY UPDATE OF d SKIP LOCKED",
        " AND d.due_at IS NOT DISTINCT FROM g.due_at",
    ):
        # The old sum is believed although the row now says otherwise.
        monkeypatch.setattr(
            sql,
            "text",
            _with_old_due(sql.text),
        )
        sweeping.sweep_batch(real_world.team, DUE)
    with team_scope(real_world.team):
        duty = Duty.objects.get()
    assert (duty.state, duty.due_at > DUE) == ("overdue", True)


def _with_old_due(text: Callable[[str, str], str]) -> Callable[[str, str], str]:
    def read(package: str, name: str) -> str:
        said = text(package, name)
        return said.replace("d.state, d.due_at, s.number", "d.state, g.due_at, s.number").replace(
            "d.due_at + make_interval", "g.due_at + make_interval"
        )

    return read


def test_with_the_compare_alone_a_change_midway_marks_nothing(
    real_world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    real_world.set("S1")
    _moves_the_due_moment_midway(real_world, monkeypatch)
    with without(monkeypatch, "FOR NO KEY UPDATE OF d SKIP LOCKED"):
        sweeping.sweep_batch(real_world.team, DUE)
    assert marks(real_world) == (0, 0)


def _hands_over_during_a_sweep(world: World, monkeypatch: pytest.MonkeyPatch) -> Duty:
    """The sweep marks a set overdue; before it commits, the set goes to somebody else's care."""
    set_id, marked = world.set("S1"), threading.Event()
    given = {"set": set_id, "to": world.instructor.member}
    first_waits_for_the_second(monkeypatch, sweeping, "count_change", then=marked.set)

    def handed_over() -> None:
        assert marked.wait(20)
        submit(world.manager, "hand_over", given, at=START + timedelta(hours=23))

    swept, handed = together(lambda: sweeping.sweep_batch(world.team, DUE), handed_over)
    assert (swept, handed) == (1, None)
    with team_scope(world.team):
        duty: Duty = Duty.objects.get(set=set_id, kind="check")
        return duty


def test_without_the_duties_lock_a_hand_over_takes_back_what_a_sweep_has_marked(
    real_world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    with without(monkeypatch, "    FOR NO KEY UPDATE OF d\n"):
        duty = _hands_over_during_a_sweep(real_world, monkeypatch)
    assert (duty.state, duty.who_id) == ("open", real_world.instructor.member)


def test_a_hand_over_during_a_sweep_leaves_what_was_marked(
    real_world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    duty = _hands_over_during_a_sweep(real_world, monkeypatch)
    assert (duty.state, duty.who_id) == ("overdue", real_world.instructor.member)
    assert duty.next_at is None or duty.next_at > DUE
    assert marks(real_world)[0] == 1


def check_job(world: World, set_id: Any, minutes: int) -> Callable[[], Any]:
    at = START + timedelta(hours=20, minutes=minutes)
    body = {"check": new_id(), "set": set_id, "found": "in_order", "done": ["left"]}
    return lambda: submit(world.student, "log_check", body, at=at, now=at + timedelta(hours=1))


def test_without_the_sets_lock_two_phones_at_once_lose_a_check(
    real_world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    from trapline.record import log_check

    set_id = real_world.set("S1")
    meeting(monkeypatch, log_check, "refresh_checks", 2)
    with without(monkeypatch, "FOR NO KEY UPDATE OF s"):
        results = together(*(check_job(real_world, set_id, minutes) for minutes in (0, 7)))
    lost = [one for one in results if isinstance(one, Exception)]
    with team_scope(real_world.team):
        last = Interval.objects.order_by("-till_at").first()
        assert last is not None
    # Either the second is refused by the one-open-duty index, or it never saw the first.
    assert lost or last.from_at == START


def test_two_phones_on_one_set_at_once_both_stand_in_order_of_their_time(
    real_world: World,
) -> None:
    set_id = real_world.set("S1")
    results = together(*(check_job(real_world, set_id, minutes) for minutes in (7, 0)))
    assert [one.state for one in results] == ["applied", "applied"]
    with team_scope(real_world.team):
        froms = list(Interval.objects.order_by("till_at").values_list("from_at", flat=True))
        duty = Duty.objects.get(state="open")
    first = START + timedelta(hours=20)
    assert froms == [START, first]
    assert duty.basis_at == first + timedelta(minutes=7)


def test_the_same_act_from_two_connections_at_once_is_applied_once(real_world: World) -> None:
    set_id, act = real_world.set("S1"), new_id()
    at = START + timedelta(hours=20)
    body = {"check": new_id(), "set": set_id, "found": "in_order", "done": ["left"]}
    job = lambda: submit(real_world.student, "log_check", body, act_id=act, at=at, now=at)  # noqa: E731
    results = together(*[job] * 4)
    assert sorted(one.state for one in results) == ["applied", "known", "known", "known"]


def test_a_rule_change_during_the_reckoning_is_not_lost(
    real_world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    real_world.set("S1")
    raise_rule_stamp(real_world.team)
    real = getattr(reckoning, "refresh_checks")  # noqa: B009

    def slow(*args: Any, **kwargs: Any) -> None:
        together(lambda: raise_rule_stamp(real_world.team))
        monkeypatch.setattr(reckoning, "refresh_checks", real)
        real(*args, **kwargs)

    monkeypatch.setattr(reckoning, "refresh_checks", slow)
    assert reckoning.redue_team(real_world.team, DUE) == 2  # taken again under the newer stamp
    assert reckoning.redue_team(real_world.team, DUE) == 0
