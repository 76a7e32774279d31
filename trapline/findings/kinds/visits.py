"""Visits: overdue, buried when last seen, catches that were no target."""

from trapline.findings.facts import OTHERS_WITHIN
from trapline.findings.looking import Found, Looking, finding, where
from trapline.findings.models import Severity

OFTEN = 2  # non-target catches at one set within OTHERS_WITHIN; common practice, no source


@finding("overdue", Severity.STOP)
def overdue(look: Looking) -> list[Found]:
    """Its check was due; a visit at the due moment would be late. The rule is the duty's."""
    due = look.facts.due_us
    return where(due <= look.moment_us, {"due_us": due})


@finding("buried", Severity.MEND)
def buried(look: Looking) -> list[Found]:
    """Found buried or frozen in at the last look: out of service until it is dug out."""
    facts = look.facts
    return where(facts.last_found == "buried", {"checked_us": facts.checked_us})


@finding("non_target_again", Severity.MEND)
def non_target_again(look: Looking) -> list[Found]:
    """Again and again an animal that it is not set for."""
    count = look.facts.others
    return where(count >= OFTEN, {"count": count, "days": OTHERS_WITHIN.days})
