"""The place: who lets one be there, what must be kept away from, the licence, the tag, the bait."""

import numpy as np

from trapline.findings.facts import KINDS
from trapline.findings.looking import Found, Looking, finding, where
from trapline.findings.models import Severity


@finding("too_near", Severity.STOP)
def too_near(look: Looking) -> list[Found]:
    """Nearer to a trail, road, dwelling, water or boundary than a rule allows."""
    found = []
    told = {kind for answer in look.asked for kind in answer.setbacks}
    for kind in [kind for kind in KINDS if kind in told]:
        asked, rule, _, _ = look.bounds(lambda answer, kind=kind: answer.setbacks.get(kind))  # type: ignore[misc]
        far = look.facts.far(kind)
        found += where(far < asked, {"distance_m": far, "at_least_m": asked}, rule, kind)
    return found


@finding("no_permission", Severity.STOP)
def no_permission(look: Looking) -> list[Found]:
    """On no land that the team ever had leave for. A team that keeps none is not asked."""
    facts = look.facts
    return where(facts.any_permission & ~facts.leave_ever)


@finding("permission_lapsed", Severity.STOP)
def permission_lapsed(look: Looking) -> list[Found]:
    """On land for which the team has leave, but not today."""
    facts = look.facts
    today = (facts.leave_days | facts.others_leave_days) & look.today
    return where(facts.leave_ever & (today == 0), {"ended_day": facts.leave_ended})


@finding("permission_not_theirs", Severity.STOP)
def permission_not_theirs(look: Looking) -> list[Found]:
    """The leave holds today, but not for who looks after the set."""
    facts = look.facts
    mine, others = facts.leave_days & look.today, facts.others_leave_days & look.today
    return where((mine == 0) & (others != 0))


@finding("licence_not_valid", Severity.STOP)
def licence_not_valid(look: Looking) -> list[Found]:
    """The licence that the set bears does not hold on the local date."""
    facts = look.facts
    return where((facts.licence_days & look.today) == 0, {"ended_day": facts.licence_ends})


@finding("no_tag", Severity.STOP)
def no_tag(look: Looking) -> list[Found]:
    """No tag on the device where a rule asks for one."""
    rule = look.each(lambda _, answer: answer.tag, np.int64)
    return where((rule >= 0) & ~look.facts.tagged, {}, rule)


@finding("bait_in_view", Severity.STOP)
def bait_in_view(look: Looking) -> list[Found]:
    """Bait that can be seen from above, where a rule forbids it."""
    rule = look.each(lambda _, answer: answer.bait, np.int64)
    return where((rule >= 0) & look.facts.bait_in_view, {}, rule)
