"""What effort gave: by line, set, device, placement, bait, species aimed at, time or member."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from uuid import UUID

from trapline.calc.devices import Efficiency, Share, efficiency, share
from trapline.ground import sql
from trapline.reports.figures import Figure, reckon, whole_months
from trapline.reports.kept import (
    Asked,
    Counted,
    Kept,
    Print,
    Reckonings,
    keep,
    kept,
    outdated,
    prints_of,
)
from trapline.reports.period import Period

BY = ("line", "set", "device", "placement", "bait", "species", "month", "season", "member")
OF_SETS = ("line", "set", "bait", "species")  # a set is in such a group with all its looks
MOST = 400


@dataclass(frozen=True)
class Group:
    """One group: counts, and the figure that its intervals give."""

    key: str
    label: str
    looks: int
    nights: float
    targets: int
    others: int
    selectivity: Share
    efficiency: Efficiency
    alive: Share
    figure: Figure


Packs = dict[str, list[tuple[UUID, bytes]]]


def grouped(team: UUID, by: str, period: Period, *, member: UUID | None = None) -> list[Group]:
    """The groups by name, at most 400. `by` is one of BY.

    One statement where nothing has changed since they were reckoned. Otherwise two more, by which
    those are known that rest on what has changed, and one or two for these.
    """
    if by not in BY:
        raise ValueError("by: not a way to group")
    asked = Asked(team, by, period, member)
    known = kept(asked)
    groups = known.groups
    if not known.right:
        prints = prints_of(asked)
        groups = _reckoned(asked, known, prints)
        if groups:  # there is nothing of nobody, nor of another team's member
            keep(asked, known.change, prints, groups)
    return [_group(key, *told) for key, told in groups.items()]


def reckon_ahead(team: UUID, since: datetime) -> int:
    """Bring the lists that were asked for since a moment in line with the record; gives how many.

    Whoever asks again then reads what is kept. One statement, up to five more a list.
    """
    behind = outdated(team, since)
    for asked in behind:
        known = kept(asked)
        if not known.right:
            prints = prints_of(asked)
            keep(asked, known.change, prints, _reckoned(asked, known, prints), ahead=True)
    return len(behind)


def _reckoned(asked: Asked, known: Kept, prints: list[Print]) -> Reckonings:
    """The groups as they are now: those that rest on what has changed are read anew."""
    if not known.groups:  # one reading for sums and intervals: they may be many
        counted, packs = packed(asked, [])
        return {key: (one, reckon(packs[key])) for key, one in counted.items()}
    if len(known.groups) < MOST:  # of more, one may come into the first so many
        if all(one.same(known.prints) for one in prints):
            return _relabelled(known.groups, prints)
        if asked.by in OF_SETS:
            return _touched(asked, known, prints)
    counted = {str(row[0]): _counted(row) for row in _rows(asked, None)}
    figures = {
        key: known.groups[key][1]
        for key, one in counted.items()
        if key in known.groups and one.rests_on_the_same(known.groups[key][0])
    }
    if stale := [key for key in counted if key not in figures]:
        packs = packed(asked, stale)[1]
        figures |= {key: reckon(packs[key]) for key in stale}
    return {key: (one, figures[key]) for key, one in counted.items()}


def _relabelled(groups: Reckonings, prints: list[Print]) -> Reckonings:
    """The groups in the order of the prints, under the names they have now."""
    if prints and prints[0].sets is None:
        return groups
    return {
        one.key: (replace(groups[one.key][0], label=one.label), groups[one.key][1])
        for one in prints
        if one.key in groups
    }


def _touched(asked: Asked, known: Kept, prints: list[Print]) -> Reckonings:
    """Groups of which a set has changed, read anew from their sets alone; the others taken over."""
    changed = [one for one in prints if not one.same(known.prints)]
    sets = [set_id for one in changed for set_id in one.sets or ()]
    counted, packs = packed(asked, [one.key for one in changed], sets=sets)
    stale = {one.key for one in changed}
    groups = {key: told for key, told in known.groups.items() if key not in stale}
    for key, one in counted.items():
        before = known.groups.get(key)
        same = before is not None and one.rests_on_the_same(before[0])
        groups[key] = (one, before[1] if same and before else reckon(packs[key]))
    return _relabelled(groups, prints)


def _rows(
    asked: Asked, keys: list[str] | None, sets: list[UUID] | None = None
) -> list[tuple[Any, ...]]:
    head, foot = whole_months(asked.period)
    values = {
        "team": asked.team, "by": asked.by, "first": asked.period.first, "last": asked.period.last,
        "head": head, "foot": foot, "member": asked.member, "keys": keys,
        "sets": sets,
        "most": MOST if keys is None else None,
    }  # fmt: skip
    return sql.rows("trapline.reports", "grouped", values, binary=True, kept=False)


def packed(
    asked: Asked, keys: list[str], *, most: int | None = MOST, sets: list[UUID] | None = None
) -> tuple[dict[str, Counted], Packs]:
    """The groups of some keys, of the first 400 if none is named, each with its sets' intervals.

    sets: those that the groups named are made of, where it is known.
    """
    counted: dict[str, Counted] = {}
    packs: Packs = {}
    for row in _rows(asked, keys, sets):
        key = str(row[0])
        if key in counted:
            counted[key].add(_counted(row))
        elif len(counted) == most:
            break
        else:
            counted[key] = _counted(row)
        packs.setdefault(key, []).append((row[12], row[13]))
    return counted, packs


def _counted(row: tuple[Any, ...]) -> Counted:
    label, looks, nights, targets, others, alive, escaped, unknown, live, tallies, revisions = row[
        1:12
    ]
    return Counted(
        str(label), int(looks), float(nights), int(targets), int(others), int(alive), int(escaped),
        int(unknown), bool(live), int(tallies), int(revisions),
    )  # fmt: skip


def _group(key: str, one: Counted, figure: Figure) -> Group:
    animals = one.targets + one.others
    return Group(
        key=key,
        label=one.label,
        looks=one.looks,
        nights=one.nights,
        targets=one.targets,
        others=one.others,
        selectivity=share(one.targets, animals),
        efficiency=efficiency(animals, one.escaped, one.unknown),
        alive=share(one.alive, animals),
        figure=figure,
    )
