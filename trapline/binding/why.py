"""Why a set is due when it is: the rules that apply, which binds, what became of the rest."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from trapline.binding.bind import Bound, bind, not_replaced
from trapline.binding.world import World
from trapline.calc.deadlines import NEVER_US, to_datetime
from trapline.rulebook.models import Rule


@dataclass(frozen=True)
class Verdict:
    """One rule on one set. standing: binds, later, replaced, or exempt (it asks for no visit)."""

    rule: Rule
    due_at: datetime | None
    basis_at: datetime | None
    standing: str


@dataclass(frozen=True)
class Why:
    """The due moment of a set and how it came about, the binding rule first."""

    due_at: datetime | None
    verdicts: tuple[Verdict, ...]


def why(team: UUID, set_id: UUID, world: World) -> Why:
    """What binds one set in this world. Two statements, three the first time a version is seen."""
    bound = bind(team, [set_id], world)
    if not len(bound.sets.ids) or bound.rules is None:
        return Why(None, ())
    ids = [bound.rules.ids[number] for number in bound.pairs.rule_no.tolist()]
    rules = {rule.id: rule for rule in Rule.objects.filter(id__in=ids).select_related("authority")}
    found = _verdicts(bound, rules)
    order = {"binds": 0, "later": 1, "replaced": 2, "exempt": 3}
    found.sort(key=lambda one: (order[one.standing], one.due_at or world.moment, one.rule.code))
    return Why(_at(int(bound.due_us[0])), tuple(found))


def _verdicts(bound: Bound, rules: dict[UUID, Rule]) -> list[Verdict]:
    assert bound.rules is not None
    stays = not_replaced(bound.pairs, bound.rules).tolist()
    binding = int(bound.rule_no[0])
    found = []
    for row, number in enumerate(bound.pairs.rule_no.tolist()):
        due = int(bound.pairs.due_us[row])
        if number == binding and stays[row]:
            standing = "exempt" if due == NEVER_US else "binds"
        elif not stays[row]:
            standing = "replaced"
        else:
            standing = "exempt" if due == NEVER_US else "later"
        basis = _at(int(bound.pairs.basis_us[row]))
        found.append(Verdict(rules[bound.rules.ids[number]], _at(due), basis, standing))
    return found


def _at(us: int) -> datetime | None:
    return None if us == NEVER_US else to_datetime(us)
