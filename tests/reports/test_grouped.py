"""What effort gave, by each way of grouping, against a count of the facts in plain Python.

The figures come from tallies, from intervals not yet counted, or from both at once: whichever it
is, they are the same.
"""

import random
from collections import Counter, defaultdict
from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any
from uuid import UUID

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.reports.season import animal, prepare
from tests.world import START, World
from trapline.ground import clock
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.lines.models import Arrangement, Catch, Check, Line
from trapline.people.change import count_change
from trapline.record.desk import submit
from trapline.reports.figures import Figure, reckon, whole_months
from trapline.reports.grouped import BY, Group, grouped
from trapline.reports.kept import forget
from trapline.reports.models import Reckoned
from trapline.reports.period import Period
from trapline.reports.side_by_side import compared
from trapline.standing.models import SetState, Tally
from trapline.watch.tallying import tally_all, tally_team

pytestmark = pytest.mark.django_db
FIRST = START + timedelta(days=20)  # 25 January, so that the season crosses into another month
LATER = START + timedelta(days=60)
PERIODS = (
    Period(), Period(date(2026, 1, 28), date(2026, 2, 3)), Period(date(2026, 2, 1), None),
    Period(date(2026, 1, 30), date(2026, 1, 31)),
)  # fmt: skip
WAYS = [(by, PERIODS[0]) for by in BY] + [
    (by, period) for by in ("set", "month") for period in PERIODS[1:]
]


def play(world: World, chance: random.Random) -> None:
    """Looks of two members at four sets about the turn of a month, in whatever order, some of them
    corrected or withdrawn later; tallies are counted in between, whenever it pleases."""
    prepare(world)
    placements = ("land", "elevated", "land", "elevated")
    kinds, baits = ("snare", "body", "body", "snare"), ("", "lure", "lure", "")
    sets = [
        world.set(f"S{at}", kind, placement=where, bait=bait, at=FIRST)
        for at, (kind, where, bait) in enumerate(zip(kinds, placements, baits, strict=True))
    ]
    hours = chance.sample(range(6, 15 * 24), 36)
    logged: list[tuple[UUID, UUID]] = []
    for hour in hours:
        made, check = chance.choice(sets), new_id()
        who = chance.choice((world.student, world.instructor, world.manager))
        # Whoever it is, the set is theirs to check: leaders look after all.
        actor = world.instructor if who is world.manager else who
        world.check(
            actor, made, FIRST + timedelta(hours=hour), check=check,
            **_said(world, chance),
        )  # fmt: skip
        logged.append((check, made))
        if chance.random() < 0.15:
            with team_scope(world.team):
                tally_team(world.team, batch=2)
    for check, made in chance.sample(logged, 8):
        body: dict[str, Any] = {"corrects": check, "withdraw": True}
        if chance.random() < 0.6:
            told = {"check": new_id(), "set": made, "done": ["left"], **_said(world, chance)}
            body = {"corrects": check, "check": told}
        submit(world.instructor, "correct_check", body, at=LATER, now=LATER)


def _said(world: World, chance: random.Random) -> dict[str, Any]:
    said = chance.choice(("in_order", "in_order", "in_order", "sprung_empty", "animal", "buried"))
    if said == "sprung_empty":
        return {"found": said, "sign": chance.choice(("target", "other", "weather", "unknown"))}
    if said != "animal":
        return {"found": said}
    dead = {"alive_on_arrival": False, "fate": "found_dead", "means": "", "dispatched_by": None}
    told = [
        animal(world, chance.choice(("marten", "lynx")), **chance.choice(({}, dead)))
        for _ in range(chance.choice((1, 1, 2)))
    ]
    return {"found": said, "catches": told}


def looks(world: World) -> Iterator[dict[str, Any]]:
    """Each look in effect with all that it may be grouped by: the facts, read one by one."""
    corrected = set(Check.objects.exclude(corrects=None).values_list("corrects", flat=True))
    by_set: dict[UUID, list[Check]] = defaultdict(list)
    for check in Check.objects.filter(counts=True, withdraws=False).select_related("set__line"):
        if check.id not in corrected:
            by_set[check.set_id].append(check)
    for set_id, checks in by_set.items():
        placed = Arrangement.objects.select_related("device__kind").get(set=set_id, cause="placed")
        before = placed.at
        for check in sorted(checks, key=lambda one: (one.at, one.id)):
            day, took = check.local_date, list(Catch.objects.filter(check_made=check.id))
            yield {
                "line": str(check.set.line_id), "set": str(set_id), "bait": placed.bait,
                "device": str(placed.device.kind_id), "placement": placed.placement,
                "species": "marten", "month": f"{day:%Y-%m}", "season": "2025", "day": day,
                "member": str(check.by_id), "nights": (check.at - before) / timedelta(days=1),
                "found": check.found, "sign": check.sign,
                "targets": sum(one.is_target for one in took), "animals": len(took),
                "alive": sum(one.alive_on_arrival for one in took),
            }  # fmt: skip
            before = check.at


def counted(facts: list[dict[str, Any]], by: str, period: Period) -> dict[str, Counter[str]]:
    sums: dict[str, Counter[str]] = defaultdict(Counter)
    for one in facts:
        if (period.first and one["day"] < period.first) or (
            period.last and one["day"] > period.last
        ):
            continue
        into = sums[one[by]]
        into["looks"] += 1
        for name in ("nights", "targets", "animals", "alive"):
            into[name] += one[name]
        into["escaped"] += one["sign"] in ("target", "other")
        into["unknown"] += one["found"] == "sprung_empty" and one["sign"] == "unknown"
        into["undated"] += one["found"] == "buried"
    return sums


def is_counted(group: Group, told: Counter[str]) -> None:
    assert group.looks == told["looks"]
    assert group.nights == pytest.approx(told["nights"])
    assert (group.targets, group.targets + group.others) == (told["targets"], told["animals"])
    assert group.alive.count == told["alive"]
    least, most = group.efficiency.least, group.efficiency.most
    assert most.of == told["animals"] + told["escaped"]
    assert least.of == most.of + told["unknown"]
    assert group.figure.undated == told["undated"]


def agree(world: World, facts: list[dict[str, Any]]) -> list[list[Group]]:
    found = []
    for by, period in WAYS:
        groups, wanted = grouped(world.team, by, period), counted(facts, by, period)
        assert {one.key for one in groups} == set(wanted)
        for one in groups:
            is_counted(one, wanted[one.key])
        found.append(groups)
    return found


@pytest.mark.parametrize("seed", [1, pytest.param(2, marks=pytest.mark.long)])
def test_every_way_of_grouping_says_what_the_facts_say_counted_or_not(
    world: World, seed: int
) -> None:
    play(world, random.Random(seed))
    with team_scope(world.team):
        assert SetState.objects.exclude(untallied_from=None).exists()
        facts = list(looks(world))
        uncounted = agree(world, facts)
        tally_team(world.team)
        count_change(world.team)
        assert not SetState.objects.exclude(untallied_from=None).exists()
        counted_now = agree(world, facts)
        kept = agree(world, facts)
    for groups, again, before in zip(counted_now, kept, uncounted, strict=True):
        assert [one.figure for one in groups] == [one.figure for one in again]
        for one, other in zip(groups, before, strict=True):
            # The intervals came in another order; sums of floats differ by it.
            assert one.figure.rate.method == other.figure.rate.method
            assert one.figure.rate.rate == pytest.approx(other.figure.rate.rate)
            assert one.figure.rate.upper == pytest.approx(other.figure.rate.upper)
            assert one.figure.hours_held_median == other.figure.hours_held_median


def look(world: World, set_id: UUID, days: float, **said: Any) -> UUID:
    return world.check(world.student, set_id, FIRST + timedelta(days=days), **said)


def test_a_figure_is_reckoned_once_and_again_only_where_something_changed(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    reckoned: list[int] = []

    def spy(packs: list[tuple[UUID, bytes]]) -> Figure:
        reckoned.append(len(packs))
        return reckon(packs)

    monkeypatch.setattr("trapline.reports.grouped.reckon", spy)
    prepare(world)
    sets = [world.set(f"S{at}", at=FIRST) for at in range(3)]
    for set_id in sets:
        look(world, set_id, 1)

    def ask() -> tuple[list[Group], int, int]:
        """The groups, how many figures were reckoned for them, in how many statements."""
        reckoned.clear()
        with team_scope(world.team), CaptureQueriesContext(connection) as seen:
            return grouped(world.team, "set", Period()), len(reckoned), len(seen)

    assert ask()[1:] == (3, 4)  # kept, prints, sums with intervals, keep
    groups, anew, statements = ask()
    assert (anew, statements) == (0, 1)
    with team_scope(world.team):
        tally_team(world.team)
        count_change(world.team)
    assert ask()[1:] == (3, 4)  # from tallies now: kept, prints, sums with intervals, keep
    look(world, sets[0], 2, found="animal", catches=[animal(world)])
    after, anew, _ = ask()  # not counted yet, and right
    assert ([one.looks for one in after], anew) == ([2, 1, 1], 1)
    assert after[1:] == groups[1:] and after[0].figure.rate.catches == 1
    with team_scope(world.team):
        tally_team(world.team)
        count_change(world.team)
    assert ask()[:2] == (after, 1)  # counted: reckoned for the last time
    with team_scope(world.team):
        count_change(world.team)
    assert ask() == (after, 0, 3)
    # The sweep's worker counts a check and reckons what it touched; who asks then only reads.
    look(world, sets[1], 3)
    reckoned.clear()
    assert tally_all(clock.now()) == 1 and len(reckoned) == 1
    groups, anew, statements = ask()
    assert ([one.looks for one in groups], anew, statements) == ([2, 2, 1], 0, 1)
    # A list that nobody asked for in a week is left alone.
    look(world, sets[1], 4)
    reckoned.clear()
    assert tally_all(clock.now() + timedelta(days=8)) == 1 and not reckoned
    with team_scope(world.team):
        assert forget(world.team, LATER - timedelta(days=9999)) == 0
        assert forget(world.team, LATER + timedelta(days=9999)) == 1


@pytest.mark.parametrize("by", ["line", "device", "month"])
def test_an_act_elsewhere_reads_no_look_whatever_there_are(world: World, by: str) -> None:
    """So the first page after it costs by the sets and not by their checks."""
    one, other = world.set("S1", at=FIRST), world.set("S2", at=FIRST, line=_line(world))
    for set_id in (one, other):
        look(world, set_id, 1)
    with team_scope(world.team):
        tally_team(world.team)
        before = grouped(world.team, by, Period())
        submit(world.manager, "name_skill", {"skill": new_id(), "code": "ice", "name": "Ice"})
        with CaptureQueriesContext(connection) as seen:
            assert grouped(world.team, by, Period()) == before
        told = " ".join(one["sql"] for one in seen)
        assert len(seen) == 3 and "standing_tally" not in told and "standing_interval" not in told
        Line.objects.filter(id=world.line).update(name="Zig")  # a name is in the print
        count_change(world.team)
        names = [one.label for one in grouped(world.team, "line", Period())]
    assert names == ["Ridge", "Zig"]
    look(world, one, 2)  # counted or not, only its own group is read
    for count in (False, True):
        with team_scope(world.team), CaptureQueriesContext(connection) as seen:
            if count:
                tally_team(world.team)
                count_change(world.team)
            groups = grouped(world.team, "line", Period())
            Reckoned.objects.all().delete()
            assert grouped(world.team, "line", Period()) == groups
        assert [one.looks for one in groups] == [1, 2]


def _line(world: World) -> UUID:
    made = new_id()
    body = {"line": made, "name": "Ridge", "tz": "America/Whitehorse", "travel": "ski"}
    submit(world.instructor, "draw_line", body, at=START, now=START)
    return made


def test_a_late_look_counts_two_months_anew_and_touches_no_other(world: World) -> None:
    set_id = world.set("S1", at=START)
    for day in (0.5, 2, 40, 41):  # in January, in January, in March, in March
        look(world, set_id, day)
    with team_scope(world.team):
        tally_team(world.team)
        before = {one.month: (one.id, one.revision) for one in Tally.objects.all()}
    look(world, set_id, 20)  # in February
    with team_scope(world.team):
        marked = SetState.objects.values_list("untallied_from", flat=True).get(set=set_id)
        assert marked == date(2026, 2, 1)
        tally_team(world.team)
        after = {one.month: (one.id, one.revision) for one in Tally.objects.all()}
        (march,) = Tally.objects.filter(month=date(2026, 3, 1))
    assert sorted(before) == [date(2026, 1, 1), date(2026, 3, 1)]
    assert sorted(after) == [date(2026, 1, 1), date(2026, 2, 1), date(2026, 3, 1)]
    assert after[date(2026, 1, 1)] == before[date(2026, 1, 1)]
    assert march.nights == pytest.approx(21)  # no longer 32


def test_two_groups_are_compared_counted_or_not(world: World) -> None:
    prepare(world)
    sets = [world.set(f"S{at}", at=FIRST, bait="lure" if at > 3 else "") for at in range(8)]
    for at, set_id in enumerate(sets):
        for day in range(1, 4):
            caught = day == 2 and at != 1
            said = {"found": "animal", "catches": [animal(world)]} if caught else {}
            look(world, set_id, day, **said)
    with team_scope(world.team):
        before = compared(world.team, "bait", Period(), "", "lure")
        tally_team(world.team)
        after = compared(world.team, "bait", Period(), "", "lure")
        assert compared(world.team, "bait", Period(), "lure", "none such") is None
        assert compared(world.team, "bait", Period(), "lure", "lure") is None
    assert before is not None and after is not None
    assert before.ratio.verdict == after.ratio.verdict == "cannot_tell"
    assert after.ratio.ratio == pytest.approx(before.ratio.ratio)
    assert after.ratio.ratio == pytest.approx(0.75, 0.1)


@pytest.mark.parametrize(
    ("first", "last", "head", "foot"),
    [
        (None, None, None, None),
        (date(2026, 1, 1), date(2026, 1, 31), date(2026, 1, 1), date(2026, 2, 1)),
        (date(2025, 12, 2), date(2026, 2, 27), date(2026, 1, 1), date(2026, 2, 1)),
        (date(2026, 1, 2), date(2026, 1, 30), date(2026, 1, 2), date(2026, 1, 2)),
        (None, date(2026, 1, 30), None, date(2026, 1, 1)),
        (date(2025, 12, 31), None, date(2026, 1, 1), None),
    ],
)
def test_the_whole_months_of_a_period(
    first: date | None, last: date | None, head: date | None, foot: date | None
) -> None:
    assert whole_months(Period(first, last)) == (head, foot)
