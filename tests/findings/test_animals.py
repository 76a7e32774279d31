"""Animals untagged or overdue: found on the licence they count against, once a rule."""

from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest
from django.test import Client

from tests.findings.scene import look, rule, take
from tests.pages.cast import client_of
from tests.world import START, World
from trapline.duties.models import Duty
from trapline.findings.models import Finding
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.record.desk import submit
from trapline.watch.sweep import sweep

HOUR, DAY = timedelta(hours=1), timedelta(days=1)
DUE = START + 6 * DAY + 13 * HOUR  # the end of the fifth day on the line's clock


@pytest.fixture
def caught(world: World) -> UUID:
    """A marten kept at 12 h, of which the rules ask a seal, a report and a carcass."""
    take(
        world,
        rule("seal-it", "seal", "of_catch", {"what": "seal", "days": 5}, species=["marten"]),
        rule("tell-it", "report", "within_hours", {"hours": 48, "of": "any_catch"}),
        rule("carcass", "sample", "of_catch", {"sample": "carcass", "days": 5}),
    )
    animal = {
        "animal": new_id(), "species": world.species["marten"], "alive_on_arrival": False,
        "fate": "found_dead",
    }  # fmt: skip
    set_id = world.set("A", "body")
    world.check(world.student, set_id, START + HOUR, found="animal", catches=[animal])
    look(START + HOUR)
    return UUID(str(animal["animal"]))


def found(world: World) -> dict[str, Finding]:
    with team_scope(world.team):
        return {
            one.code: one for one in Finding.objects.filter(licence=world.licence, closed_at=None)
        }


def show_done(world: World, kind: str, at: Any, **said: Any) -> None:
    with team_scope(world.team):
        duty = Duty.objects.get(kind=kind).id
    body = {"evidence": new_id(), "duty": duty, "on": at.date().isoformat(), **said}
    submit(world.instructor, "give_evidence", body, at=at, now=at)


def test_an_animal_without_its_seal_is_watched_and_stops_the_day_after_its_last(
    world: World, caught: UUID
) -> None:
    assert set(found(world)) == {"animals_untagged"}
    told = found(world)["animals_untagged"]
    assert (told.severity, told.numbers["count"], told.discriminator) == ("watch", 1, "seal-it")
    assert told.rule_id is not None
    with team_scope(world.team):
        due = Duty.objects.get(kind="seal").due_at
    sweep(due - timedelta(seconds=1))
    assert "animals_untagged" in found(world) and "tag_overdue" not in found(world)
    sweep(due)
    after = found(world)
    assert "animals_untagged" not in after
    assert (after["tag_overdue"].severity, after["sample_overdue"].severity) == ("stop", "mend")
    assert after["animal_report_overdue"].severity == "stop"
    show_done(world, "seal", due + HOUR, number="S-9")
    show_done(world, "sample", due + HOUR, note="handed in")
    assert set(found(world)) == {"animal_report_overdue"}


def test_a_seal_shown_in_time_is_found_nowhere(world: World, caught: UUID) -> None:
    show_done(world, "seal", START + DAY, number="S-9")
    show_done(world, "report", START + DAY, number="R-1")
    show_done(world, "sample", START + DAY, note="handed in")
    sweep(START + 9 * DAY)
    assert found(world) == {}


def test_the_page_says_it_with_its_moment_rule_and_remedy(world: World, caught: UUID) -> None:
    page = _read(client_of(world.manager), world)
    assert "Animals without tag or seal" in page and "1 kept under this licence" in page
    assert "seal-it" in page and "Fix the tag or have the pelt sealed" in page
    assert f"/t/{world.slug}/animals/#asked" in page
    # The holder of the licence sees it, another member does not.
    with team_scope(world.team):
        from trapline.people.models import Licence

        holder = Licence.objects.get(id=world.licence).holder_id
    assert holder != world.student.member
    assert "Animals without tag" not in _read(client_of(world.student), world)


def _read(browser: Client, world: World) -> str:
    return browser.get(f"/t/{world.slug}/findings/").content.decode()
