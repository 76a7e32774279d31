"""Many acts in one batch: findings are reckoned once at its end, and owed until then."""

from collections.abc import Iterator
from datetime import datetime, timedelta
from uuid import UUID

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.record.phone import check, letter
from tests.world import START, World
from trapline.findings.models import Finding, Look
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.lines.models import Check
from trapline.people.models import Person
from trapline.record import sync
from trapline.record.desk import Outcome
from trapline.record.owed import Owed
from trapline.watch.look import look_over

pytestmark = pytest.mark.django_db
DUE = START + timedelta(hours=24)
LATE = DUE + timedelta(hours=2)
SETS = ("S1", "S2", "S3")


@pytest.fixture
def overdue(world: World) -> Iterator[list[UUID]]:
    """Three sets that nobody looked at in time, which stands among the findings."""
    made = [world.set(label) for label in SETS]
    look_over(LATE)
    assert open_now(world) == set(made)
    yield made


def open_now(world: World) -> set[UUID]:
    with team_scope(world.team):
        return set(
            Finding.objects.filter(code="overdue", closed_at=None).values_list("set_id", flat=True)
        )


def send(world: World, *letters: bytes, received: datetime = LATE) -> list[Outcome]:
    person = Person.objects.get(pk=str(world.student.person))
    return sync.receive(person, letters, sent_at=received, received_at=received)


def checks(world: World, sets: list[UUID]) -> list[bytes]:
    return [
        letter(world, "log_check", check(one), LATE - timedelta(minutes=30 - number))
        for number, one in enumerate(sets)
    ]


def test_a_batch_settles_the_findings_of_its_sets_each_by_the_act_that_did_it(
    world: World, overdue: list[UUID]
) -> None:
    # S1 is looked at twice: the later look is what the record names.
    outcomes = send(world, *checks(world, [*overdue, overdue[0]]))
    assert [one.state for one in outcomes] == ["applied"] * 4
    assert open_now(world) == set()
    with team_scope(world.team):
        by = dict(Finding.objects.filter(code="overdue").values_list("set_id", "closed_by_id"))
        assert Look.objects.filter(next_at__lte=LATE).count() == 0
    assert by == {
        overdue[0]: outcomes[3].act, overdue[1]: outcomes[1].act, overdue[2]: outcomes[2].act,
    }  # fmt: skip


def test_a_batch_that_breaks_off_owes_its_sets_to_the_watch(
    world: World, overdue: list[UUID], monkeypatch: pytest.MonkeyPatch
) -> None:
    """As if killed before its end: the acts are in, and what they left undone is found and done."""
    monkeypatch.setattr(Owed, "settle", lambda self: None)
    assert [one.state for one in send(world, *checks(world, overdue[:2]))] == ["applied"] * 2
    assert open_now(world) == set(overdue)
    assert look_over(LATE) == 2
    assert open_now(world) == {overdue[2]}


def test_an_act_that_was_not_applied_owes_nothing(world: World, overdue: list[UUID]) -> None:
    """The second says the check of the first once more, which the table refuses at the very end."""
    once = new_id()
    letters = [letter(world, "log_check", check(one, check=once), LATE) for one in overdue]
    outcomes = send(world, *letters)
    assert [one.state for one in outcomes] == ["applied", "needs_review", "needs_review"]
    assert open_now(world) == set(overdue[1:])
    with team_scope(world.team):
        assert Check.objects.count() == 1


def test_findings_are_as_of_the_end_of_the_batch_and_not_of_its_beginning(
    world: World, overdue: list[UUID], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another looks at S3 while the batch is on its way: what came of that is not taken back."""
    whole, minute = Owed.settle, timedelta(minutes=1)

    def meanwhile(self: Owed) -> None:
        world.check(world.student, overdue[0], LATE + minute)
        self._since -= 120
        whole(self)

    monkeypatch.setattr(Owed, "settle", meanwhile)
    send(world, *checks(world, overdue))
    with team_scope(world.team):
        assert set(Look.objects.values_list("looked_at__minute", flat=True)) == {2}
    assert open_now(world) == set()


def test_an_uneventful_check_in_a_batch_costs_ten_statements(
    world: World, overdue: list[UUID]
) -> None:
    """Each more: begin, the act, the set, its rules; the check, the fold and the duty at once;

    what is owed, commit. The end of the batch has its own.
    """

    def statements(count: int) -> int:
        with CaptureQueriesContext(connection) as seen:
            send(world, *checks(world, (overdue * 3)[:count]))
        return len(seen)

    few = statements(3)
    assert statements(6) - few <= 10 * 3
