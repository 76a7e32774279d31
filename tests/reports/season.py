"""A short season reckoned by hand, made through the acts. Times are of the line's zone (UTC-7)."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from tests.world import START, TZ, World
from trapline.ground.ids import new_id
from trapline.record.desk import submit


def local(day: int, hour: int, minute: int = 0) -> datetime:
    """A moment in January 2026 on the line's clock."""
    return datetime(2026, 1, day, hour, minute, tzinfo=ZoneInfo(TZ))


def prepare(world: World) -> None:
    """The instructor may dispatch; the licence has a book of site tags N1 to N50."""
    submit(
        world.instructor,
        "sign_off",
        {"member": world.instructor.member, "skill": world.skills["dispatch"]},
        at=START - timedelta(days=1),
        now=START,
    )
    submit(
        world.manager,
        "issue_numbers",
        {"licence": world.licence, "kind": "site_tag", "prefix": "N", "first": 1, "last": 50},
        at=START - timedelta(days=1),
        now=START,
    )


def animal(world: World, species: str = "marten", **said: Any) -> dict[str, Any]:
    """A catch as the act takes it: dispatched by the instructor unless said otherwise."""
    return {
        "animal": new_id(),
        "species": world.species[species],
        "sex": "male",
        "age": "adult",
        "alive_on_arrival": True,
        "fate": "dispatched",
        "means": "by the team's method",
        "dispatched_by": world.instructor.member,
        **said,
    }


@dataclass(frozen=True)
class Caught:
    """What the season holds, to be compared with what a report says."""

    snare: UUID
    body: UUID
    marten: dict[str, Any]
    lynx: dict[str, Any]


def season(world: World) -> Caught:
    """Two sets from 5 January 11:00. Four looks of the student, one of the instructor.

    snare S1: 6 Jan 09:00 a marten, 7 Jan 08:00 in order, 8 Jan 20:00 (late) a lynx let go.
    body-gripping B1: 8 Jan 10:00 sprung and empty; 8 Jan 12:00 the instructor, in order.
    """
    prepare(world)
    snare, body = world.set("S1"), world.set("B1", "body", placement="elevated")
    marten = animal(world, site_tag="N7", device_tag="QB-1", seal="")
    lynx = animal(
        world, "lynx", sex="female", fate="released", means="", condition="whole, walked off",
        dispatched_by=None,
    )  # fmt: skip
    world.check(world.student, snare, local(6, 9), found="animal", catches=[marten])
    world.check(world.student, snare, local(7, 8))
    world.check(world.student, body, local(8, 10), found="sprung_empty", sign="target")
    world.check(world.instructor, body, local(8, 12))
    world.check(world.student, snare, local(8, 20), found="animal", catches=[lynx])
    return Caught(snare, body, marten, lynx)
