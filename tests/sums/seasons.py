"""Every report sums to what a separate plain-Python reader counts in the acts as they were sent.

The reader knows nothing of the tables: it reads the JSON bytes of the acts, in their order, and
applies corrections and withdrawals itself.
"""

import json
import random
from collections import Counter
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from tests.reports.season import animal, local, prepare
from tests.world import TZ, World, make_world
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.journal.models import Act
from trapline.people.models import Licence
from trapline.record.desk import submit
from trapline.reports.filed import form_of
from trapline.reports.harvest import harvest
from trapline.reports.period import Period
from trapline.reports.reconcile import reconcile
from trapline.reports.rows import Made, fill_in
from trapline.reports.snapshot import differences, freeze

FIRST, LAST = date(2026, 1, 8), date(2026, 1, 24)  # shorter than the season, so that days count
LATER = datetime.fromisoformat("2026-02-02T12:00:00-07:00")
FATES = ("dispatched", "found_dead", "released", "got_away")


@dataclass(frozen=True)
class Look:
    """A look of the season: its day in January, its set, what was found, the animals told of."""

    day: int
    set: int
    found: str
    animals: tuple[dict[str, Any], ...]


@dataclass(frozen=True)
class Correction:
    """Of one look: withdrawn, or told anew with these of its animals in another sex."""

    look: int
    withdraws: bool
    sexes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Story:
    """A season as it was drawn, before anything is written."""

    looks: tuple[Look, ...]
    corrections: tuple[Correction, ...]

    def branches(self) -> set[str]:
        """What of the many ways in which a season can go is in this one."""
        told = {f"{name} {one[name]}" for look in self.looks for one in look.animals
                for name in ("species", "sex", "age", "fate")}  # fmt: skip
        told |= {f"found {look.found}" for look in self.looks}
        told |= {"two animals" for look in self.looks if len(look.animals) == 2}
        for one in self.corrections:
            had = len(self.looks[one.look].animals)
            what = "withdrawn" if one.withdraws else "fewer" if len(one.sexes) < had else "anew"
            told.add(f"{what}, {'with' if had else 'without'} animals")
        inside = {FIRST.day <= look.day <= LAST.day for look in self.looks if look.animals}
        return told | {f"inside {one}" for one in inside}


def draw(chance: random.Random, days: range = range(6, 27), corrected: int = 8) -> Story:
    """A season of looks; some corrected, some withdrawn, some animals told anew otherwise."""
    looks = []
    for day in days:
        many = chance.choice((0, 0, 1, 1, 2))
        animals = tuple(
            {
                "species": chance.choice(("marten", "lynx")),
                "sex": chance.choice(("male", "female", "unknown")),
                "age": chance.choice(("adult", "juvenile", "unknown")),
                "fate": chance.choice(FATES),
            }
            for _ in range(many)
        )
        found = "animal" if many else chance.choice(("in_order", "buried", "damaged"))
        looks.append(Look(day, chance.randrange(3), found, animals))
    corrections = []
    for at in chance.sample(range(len(looks)), corrected):
        if chance.random() < 0.3:
            corrections.append(Correction(at, withdraws=True))
            continue
        sexes = [chance.choice(("male", "female")) for _ in looks[at].animals]
        if sexes and chance.random() < 0.4:
            sexes.pop()
        corrections.append(Correction(at, withdraws=False, sexes=tuple(sexes)))
    return Story(tuple(looks), tuple(corrections))


def play(world: World, story: Story) -> None:
    """Log the looks, then correct them, through the acts. Every taken animal has its number."""
    numbers = iter(range(1, 51))
    sets = [world.set("S1"), world.set("S2"), world.set("B1", "body", placement="elevated")]
    logged: list[tuple[UUID, UUID, list[dict[str, Any]]]] = []
    for look in story.looks:
        animals = [_animal(world, one, next(numbers)) for one in look.animals]
        check = world.check(
            world.student, sets[look.set], local(look.day, 9, look.day), found=look.found,
            catches=animals, done=["left"],
        )  # fmt: skip
        logged.append((check, sets[look.set], animals))
    for one in story.corrections:
        check, made, animals = logged[one.look]
        body: dict[str, Any] = {"corrects": check, "withdraw": True}
        if not one.withdraws:
            told = [{**was, "sex": sex} for was, sex in zip(animals, one.sexes, strict=False)]
            body = {
                "corrects": check,
                "check": {
                    "check": new_id(), "set": made, "done": ["left"], "catches": told,
                    "found": "animal" if told else "in_order",
                },
            }  # fmt: skip
        submit(world.instructor, "correct_check", body, at=LATER, now=LATER)


def _animal(world: World, said: dict[str, Any], number: int) -> dict[str, Any]:
    fate = said["fate"]
    taken = fate in FATES[:2]
    return animal(
        world, said["species"], sex=said["sex"], age=said["age"], fate=fate,
        alive_on_arrival=fate != "found_dead", means="as the team does" if taken else "",
        dispatched_by=world.instructor.member if fate == "dispatched" else None,
        site_tag=f"N{number}" if taken else "",
    )  # fmt: skip


def read(acts: list[tuple[bytes, datetime]]) -> list[tuple[date, dict[str, Any]]]:
    """The animals in effect with the local day of their check, from the acts' bytes alone."""
    checks: dict[str, tuple[date, list[dict[str, Any]]]] = {}
    for raw, at in acts:
        act = json.loads(raw)
        body = act["body"]
        if act["kind"] == "log_check":
            day = at.astimezone(ZoneInfo(TZ)).date()
            checks[body["check"]] = (day, body.get("catches", []))
        elif act["kind"] == "correct_check":
            day, _wrong = checks.pop(body["corrects"])
            if not body.get("withdraw"):
                checks[body["check"]["check"]] = (day, body["check"]["catches"])
    return [(day, one) for day, catches in checks.values() for one in catches]


def acts_of(world: World) -> list[tuple[bytes, datetime]]:
    with team_scope(world.team):
        rows = Act.objects.filter(team_id=world.team).order_by("received_at", "id")
        return [(bytes(body), at) for body, at in rows.values_list("body", "acted_at")]


def made_of(world: World, code: str) -> Made:
    with team_scope(world.team):
        shown = form_of(world.team, code)
        assert shown is not None
        return fill_in(world.team, shown.form, world.licence, Period(FIRST, LAST), "UTC")


def column(made: Made, at: int) -> int:
    return sum(int(row.cells[at] or 0) for row in made.rows)


def compare(world: World) -> None:
    """Each report against the reader."""
    animals = read(acts_of(world))
    told = [one for day, one in animals if FIRST <= day <= LAST]
    taken = [one for one in told if one["fate"] in FATES[:2]]
    names = {str(key): code.title() for code, key in world.species.items()}
    by_species = Counter(names[one["species"]] for one in taken)

    log = made_of(world, "animal-log")
    assert sorted(row.key for row in log.rows) == sorted(one["animal"] for one in taken)
    assert dict(log.totals) == {f"Animals: {name}": n for name, n in by_species.items()}
    summary = made_of(world, "zone-summary")
    fates, sexes = Counter(one["fate"] for one in told), Counter(one["sex"] for one in taken)
    assert [column(summary, at) for at in range(2, 10)] == [
        len(taken), sexes["male"], sexes["female"], sexes["unknown"],
        sum(one["age"] == "juvenile" for one in taken), fates["released"], 0, fates["got_away"],
    ]  # fmt: skip
    survey = made_of(world, "effort-survey")
    wanted = str(world.species["marten"])
    assert [column(survey, 6), column(survey, 7)] == [
        sum(one["species"] == wanted for one in told),
        sum(one["species"] != wanted for one in told),
    ]
    with team_scope(world.team):
        (licence,) = harvest(world.team, Period(), licence=world.licence).licences
        assert {str(one.animal) for one in licence.animals} == {
            one["animal"] for _day, one in animals
        }
        shown = form_of(world.team, "animal-log")
        assert shown is not None
        borne = Licence.objects.get(id=world.licence)
        balance = reconcile(world.team, shown.form, borne, Period(FIRST, LAST), log, LATER)
    assert (balance.animals, balance.taken) == (len(told), len(taken))
    assert balance.sealed + balance.unsealed == len(taken) == balance.rows


def amended(world: World) -> None:
    """A late catch and a withdrawn one: the differences are those two rows, and sums still hold."""
    with team_scope(world.team):
        shown, licence = form_of(world.team, "animal-log"), Licence.objects.get(id=world.licence)
        assert shown is not None
        before = json.loads(freeze(world.team, shown.form, licence, FIRST, LAST).raw)
    late = animal(world, site_tag="", device_tag="")
    made = world.set("S9")
    world.check(world.student, made, local(12, 16), found="animal", catches=[late])
    with team_scope(world.team):
        after = json.loads(freeze(world.team, shown.form, licence, FIRST, LAST).raw)
    keys = {one.key for one in differences(before, after) if one.before is None}
    assert keys == {str(late["animal"])}
    compare(world)


def season(name: str, story: Story) -> None:
    """Play a season in a team of its own and compare every report with the reader."""
    world = make_world(name)
    prepare(world)
    play(world, story)
    compare(world)
    amended(world)
