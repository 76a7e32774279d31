"""What effort gave: by line, set, device, placement, bait, species aimed at, time or member."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from trapline.calc.devices import Efficiency, Share, efficiency, share
from trapline.ground import sql
from trapline.reports.figures import Figure, reckon, whole_months
from trapline.reports.kept import Asked, Counted, Reckonings, keep, kept, outdated
from trapline.reports.period import Period

BY = ("line", "set", "device", "placement", "bait", "species", "month", "season", "member")
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

    One statement where nothing has changed since they were reckoned; otherwise two more, and one
    for the intervals of those whose figures are to be reckoned anew.
    """
    if by not in BY:
        raise ValueError("by: not a way to group")
    asked = Asked(team, by, period, member)
    known = kept(asked)
    groups = known.groups
    if not known.right:
        groups = _reckoned(asked, known.groups)
        if groups:  # there is nothing of nobody, nor of another team's member
            keep(asked, known.change, groups)
    return [_group(key, *told) for key, told in groups.items()]


def reckon_ahead(team: UUID, since: datetime) -> int:
    """Bring the lists that were asked for since a moment in line with the record; gives how many.

    Whoever asks again then reads what is kept. One statement, up to five more a list.
    """
    behind = outdated(team, since)
    for asked in behind:
        known = kept(asked)
        if not known.right:
            keep(asked, known.change, _reckoned(asked, known.groups), ahead=True)
    return len(behind)


def _reckoned(asked: Asked, known: Reckonings) -> Reckonings:
    if not known:  # one reading for sums and intervals: they may be many
        counted, packs = packed(asked, [])
        return {key: (one, reckon(packs[key])) for key, one in counted.items()}
    counted = {str(row[0]): _counted(row) for row in _rows(asked, None)}
    figures = {
        key: known[key][1]
        for key, one in counted.items()
        if key in known and one.rests_on_the_same(known[key][0])
    }
    if stale := [key for key in counted if key not in figures]:
        packs = packed(asked, stale)[1]
        figures |= {key: reckon(packs[key]) for key in stale}
    return {key: (one, figures[key]) for key, one in counted.items()}


def _rows(asked: Asked, keys: list[str] | None) -> list[tuple[Any, ...]]:
    head, foot = whole_months(asked.period)
    values = {
        "team": asked.team, "by": asked.by, "first": asked.period.first, "last": asked.period.last,
        "head": head, "foot": foot, "member": asked.member, "keys": keys,
        "most": MOST if keys is None else None,
    }  # fmt: skip
    return sql.rows("trapline.reports", "grouped", values, binary=True, kept=False)


def packed(
    asked: Asked, keys: list[str], *, most: int | None = MOST
) -> tuple[dict[str, Counted], Packs]:
    """The groups of some keys, of the first 400 if none is named, each with its sets' intervals."""
    counted: dict[str, Counted] = {}
    packs: Packs = {}
    for row in _rows(asked, keys):
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
