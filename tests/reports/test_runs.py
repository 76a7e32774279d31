"""Files that take long: taken by one worker, told how far, cancelled, survive a worker's death."""

import io
from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest
from pypdf import PdfReader

from tests.reports.season import season
from tests.reports.test_filing import AFTER, file, filed
from tests.world import World
from trapline.ground import clock
from trapline.ground.scope import team_scope
from trapline.reports import runs
from trapline.reports.models import Run, RunState
from trapline.reports.papers.pdf import Cancelled

pytestmark = pytest.mark.django_db


@pytest.fixture
def asked(world: World) -> UUID:
    season(world)
    one = filed(world, file(world))
    with team_scope(world.team):
        return UUID(str(runs.ask(world.manager, one, AFTER).id))


def run_of(world: World, key: UUID) -> Run:
    with team_scope(world.team):
        found: Run = Run.objects.select_related("filing").get(id=key)
        return found


def small(*args: Any, progress: Any, **more: Any) -> bytes:
    return b"%PDF-1.7 a file"


# Committed rows: how far it is, is told over a connection of its own.
@pytest.mark.django_db(transaction=True)
def test_a_worker_makes_the_file_and_it_is_kept(world: World, asked: UUID) -> None:
    assert run_of(world, asked).state == RunState.WAITING
    made = runs.make_owed()
    run = run_of(world, asked)
    assert (made, run.state, run.attempts, run.pages_done) == (1, RunState.DONE, 1, 1)
    text = PdfReader(io.BytesIO(bytes(run.file or b""))).pages[0].extract_text()
    assert "Marten" in text and run.filing.sha256 in text.replace("\n", "")
    assert runs.make_owed() == 0


def test_asked_for_twice_it_is_made_once(
    world: World, asked: UUID, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(runs, "as_pdf", small)
    with team_scope(world.team):
        assert runs.ask(world.manager, run_of(world, asked).filing, AFTER).id == asked
    assert runs.make_owed() == 1
    with team_scope(world.team):
        again = runs.ask(world.manager, run_of(world, asked).filing, AFTER)
    assert (again.id, again.state) == (asked, RunState.DONE)


def test_a_run_whose_worker_died_is_taken_up_by_another(
    world: World, asked: UUID, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert runs._take() is not None  # and then the worker is gone
    assert runs._take() is None, "another must not take it while the first may live"
    late = clock.now() + runs.LOST_AFTER + timedelta(seconds=1)
    monkeypatch.setattr(clock, "now", lambda: late)
    monkeypatch.setattr(runs, "as_pdf", small)
    assert runs.make_owed() == 1
    assert run_of(world, asked).attempts == 2


def test_a_worker_that_was_thought_dead_does_not_write_over_the_other(
    world: World, asked: UUID, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = runs._take()
    assert first is not None
    late = clock.now() + runs.LOST_AFTER + timedelta(seconds=1)
    monkeypatch.setattr(clock, "now", lambda: late)
    monkeypatch.setattr(runs, "as_pdf", small)
    runs.make_owed()
    monkeypatch.setattr(runs, "as_pdf", lambda *args, **more: b"%PDF another")
    assert runs._make(*first) == 0
    assert bytes(run_of(world, asked).file or b"").startswith(b"%PDF-1.7")


def test_what_was_cancelled_is_not_made_until_it_is_asked_for_again(
    world: World, asked: UUID, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(runs, "as_pdf", small)
    with team_scope(world.team):
        assert runs.cancel(asked)
    assert runs.make_owed() == 0
    with team_scope(world.team):
        runs.ask(world.manager, run_of(world, asked).filing, AFTER)
    assert runs.make_owed() == 1


def test_a_run_that_is_cancelled_under_way_stops_at_its_next_page(
    world: World, asked: UUID, monkeypatch: pytest.MonkeyPatch
) -> None:
    def under_way(*args: Any, progress: Any, **more: Any) -> bytes:
        with team_scope(world.team):
            runs.cancel(asked)
        raise Cancelled

    monkeypatch.setattr(runs, "as_pdf", under_way)
    assert runs.make_owed() == 0
    assert run_of(world, asked).state == RunState.CANCELLED


def test_a_run_that_fails_is_tried_three_times_and_then_says_why(
    world: World, asked: UUID, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*args: Any, **more: Any) -> bytes:
        raise RuntimeError("no fonts")

    monkeypatch.setattr(runs, "as_pdf", broken)
    assert runs.make_owed() == 0
    run = run_of(world, asked)
    assert (run.state, run.attempts, run.error) == (RunState.FAILED, 3, "RuntimeError: no fonts")
    monkeypatch.setattr(runs, "as_pdf", small)
    with team_scope(world.team):
        runs.ask(world.manager, run.filing, AFTER)
    assert runs.make_owed() == 1
