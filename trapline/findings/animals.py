"""Animals that bear no tag or seal yet, or for which a day has passed: once a licence and rule."""

from __future__ import annotations

from uuid import UUID

from trapline.binding.world import World
from trapline.calc.clock import to_us
from trapline.findings.about import About, bring_in_line
from trapline.findings.models import Severity
from trapline.ground import sql

# By what a rule asks, and whether its moment has passed.
CODES: dict[tuple[str, bool], tuple[str, Severity]] = {
    ("seal", False): ("animals_untagged", Severity.WATCH),
    ("seal", True): ("tag_overdue", Severity.STOP),
    ("report", True): ("animal_report_overdue", Severity.STOP),
    ("sample", True): ("sample_overdue", Severity.MEND),
}


def refresh_animals(team: UUID, world: World) -> None:
    """Open and close what is found about animals of the record. Two statements."""
    rows = sql.rows("trapline.findings", "animals", {"team": team, "moment": world.moment})
    found = []
    for licence, kind, late, asked, rule, count, due_at, tz in rows:
        code, severity = CODES[kind, late]
        numbers = {"count": count, "due_us": to_us(due_at), "tz": tz}
        found.append(About(code, severity, asked, numbers, rule, licence=licence))
    bring_in_line(team, [code for code, _ in CODES.values()], found, world.moment)
