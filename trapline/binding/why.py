"""Why a set is due when it is: the rules that apply, which binds, what became of the rest."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from trapline.binding.bind import Bound, applying, choose, not_replaced
from trapline.binding.world import World
from trapline.calc.deadlines import (
    NEVER_US,
    Candidate,
    Grants,
    Standing,
    counts_until,
    strictest,
    to_datetime,
    to_us,
)
from trapline.rulebook.models import Rule

ORDER = ("binds", "moves", "later", "hours", "replaced", "exempt")


@dataclass(frozen=True)
class Verdict:
    """One rule on one set. standing: binds, later, replaced, exempt (it asks for no visit);

    of hours without tending: moves (the due moment lies before them) or hours (they do not touch
    it). granted: an officer's extension gave the moment.
    """

    rule: Rule
    due_at: datetime | None
    basis_at: datetime | None
    standing: str
    granted: bool = False
    counts_until: datetime | None = None  # where visits count in a window: its last close


@dataclass(frozen=True)
class Why:
    """The due moment of a set and how it came about, the binding rule first."""

    due_at: datetime | None
    verdicts: tuple[Verdict, ...]


def why(team: UUID, set_id: UUID, world: World) -> Why:
    """What binds one set in this world. Two statements, three the first time a version is seen."""
    found = applying(team, [set_id], world)
    bound = choose(found, world)
    if not len(bound.sets.ids) or bound.rules is None:
        return Why(None, ())
    ids = [bound.rules.ids[number] for number in bound.pairs.rule_no.tolist()]
    rules = {rule.id: rule for rule in Rule.objects.filter(id__in=ids).select_related("authority")}
    told = verdicts_of(bound, found.grants, rules)
    told.sort(
        key=lambda one: (ORDER.index(one.standing), one.due_at or world.moment, one.rule.code)
    )
    return Why(_at(int(bound.due_us[0])), tuple(told))


def verdicts_of(bound: Bound, grants: Grants, rules: dict[UUID, Rule]) -> list[Verdict]:
    """The standing of each rule on the one set of `bound`, by the sums that chose among them."""
    assert bound.rules is not None
    stays = not_replaced(bound.pairs, bound.rules).tolist()
    standings = _standings(bound, grants, stays)
    told = []
    for row, number in enumerate(bound.pairs.rule_no.tolist()):
        due, basis = (_at(int(us[row])) for us in (bound.pairs.due_us, bound.pairs.basis_us))
        granted = False
        if not stays[row]:
            standing: str = "replaced"
        elif bound.rules.hours[number]:
            standing = "moves" if number == int(bound.hours_no[0]) else "hours"
        else:
            standing, due, granted = standings[number]
            if standing == "binds" and due is not None:
                due = _at(int(bound.due_us[0]))
        rule, until = rules[bound.rules.ids[number]], _counts_until(bound, row, due)
        told.append(Verdict(rule, due, basis, standing, granted, until))
    return told


def _standings(
    bound: Bound, grants: Grants, stays: list[bool]
) -> dict[int, tuple[Standing, datetime | None, bool]]:
    assert bound.rules is not None
    rules = bound.rules
    candidates = [
        Candidate(number, int(rules.authority[number]), _at(int(bound.pairs.due_us[row])))
        for row, number in enumerate(bound.pairs.rule_no.tolist())
        if stays[row] and not rules.hours[number]
    ]
    given = zip(grants.authority.tolist(), grants.until_us.tolist(), strict=True)
    chosen = strictest(candidates, [(body, to_datetime(us)) for body, us in given])
    return {
        one.candidate.rule: (
            "exempt" if one.due is None else one.standing, one.due, one.granted
        )
        for one in chosen.verdicts
    }  # fmt: skip


def _counts_until(bound: Bound, row: int, due: datetime | None) -> datetime | None:
    """When the last window before the due moment closes; None when the rule asks for none."""
    assert bound.rules is not None
    form = bound.rules.forms[int(bound.pairs.rule_no[row])]
    if form.between is None or due is None:
        return None
    at = int(bound.pairs.set_no[row])
    zone, lat, lon = ZoneInfo(bound.sets.tz[at]), bound.sets.lat[at], bound.sets.lon[at]
    return _at(int(counts_until(form, [to_us(due)], zone, [lat], [lon])[0]))


def _at(us: int) -> datetime | None:
    return None if us == NEVER_US else to_datetime(us)
