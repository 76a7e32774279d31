"""Rules of public regulations in the rulebook's format, and how they bind a set.

Worked examples of the FORM, not current law: rules change, and local codes and the licensing
authority decide. Zones are squares of our own; only their names stand for the places.
"""

from dataclasses import replace
from datetime import datetime
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

import yaml

from trapline.binding.matters import VersionRules, draft_rules
from trapline.binding.strictness import strictest
from trapline.binding.then import Stood, reasons_apart
from trapline.calc.deadlines import (
    Candidate,
    before_forbidden_many,
    due_at,
    from_params,
    to_datetime,
    to_us,
)
from trapline.calc.deadlines import strictest as earliest
from trapline.calc.seasons import spans, standing
from trapline.rulebook.schema import read_text

ZERO = UUID(int=0)


def book(rules: str, *zones: str, authorities: str = "state", species: str = "") -> VersionRules:
    """The rules of a rulebook file; authorities and species by their codes."""
    kinds = {"state": "state", "area": "special_area", "team": "team"}
    head = {
        "format": 1,
        "title": "A worked example of the form, not current law",
        "in_force_from": "2024-01-01T00:00:00Z",
        "authorities": [
            {"code": code, "name": code, "kind": kinds[code]} for code in authorities.split()
        ],
        "species": [{"code": code, "name": code} for code in species.split()],
        "zones": [
            {"code": code, "name": code, "area": {"type": "Polygon", "coordinates": _square()}}
            for code in zones
        ],
    }
    text = yaml.safe_dump(head) + "rules:\n" + rules
    return draft_rules(read_text(text.encode()))


def _square() -> list[list[list[float]]]:
    # Its own for each zone: a file with one square in two places would need anchors.
    return [[[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0], [0.0, 0.0]]]


def a_set(tz: str, **how: Any) -> Stood:
    """A foothold trap on land in no zone, unless said otherwise; placed in the middle of Ohio."""
    moment = datetime(2024, 12, 1, tzinfo=ZoneInfo(tz))
    plain = Stood(
        line=ZERO, tz=tz, lat=40.0, lon=-83.0, placement="land", device=ZERO, kind="trap",
        device_class="foothold_coil", action="holding", responsible=ZERO, responsible_name="",
        licence_kind="", targets=(), zones=(), placed_at=moment, last_check_at=None,
        grant_authorities=None, grants_until_us=None, stamp=0,
    )  # fmt: skip
    return replace(plain, **how)


def bind(rules: VersionRules, stood: Stood, moment: datetime) -> list[int]:
    """The rules that apply and that no other stands instead of."""
    live = {n for n in range(len(rules.ids)) if not reasons_apart(rules, n, stood, moment)}
    gone = {wide for narrow, wide in rules.replaces if {narrow, wide} <= live}
    return sorted(live - gone)


def due(rules: VersionRules, stood: Stood, visit: str, **given: Any) -> str | None:
    """The local due moment after a local visit, to the minute; None where nothing asks for one."""
    zone = ZoneInfo(stood.tz)
    at = datetime.fromisoformat(visit).replace(tzinfo=zone)
    live = bind(rules, stood, at)
    candidates = []
    for number in live:
        if rules.matters[number] == "check":
            form = from_params(rules.forms[number], rules.params[number])
            found = due_at(form, at, zone, stood.lat, stood.lon, **given)
            candidates.append(Candidate(number, rules.authority[number], found.at))
    first = earliest(candidates).due
    if first is None:
        return None
    us = [to_us(first)]
    for number in live:
        if rules.matters[number] == "tending":
            hours = from_params("none", {"no_tending": rules.params[number]})
            us = before_forbidden_many(hours, us, zone, [stood.lat], [stood.lon]).tolist()
    return to_datetime(us[0]).astimezone(zone).strftime("%Y-%m-%dT%H:%M")


def open_at(rules: VersionRules, stood: Stood, local: str) -> bool:
    """Whether the season is open at a local moment: in every authority's book."""
    zone = ZoneInfo(stood.tz)
    at = datetime.fromisoformat(local).replace(tzinfo=zone)
    by: dict[int, bool] = {}
    for number in bind(rules, stood, at):
        if rules.matters[number] == "season":
            found = spans(rules.forms[number], rules.params[number], zone, to_us(at))
            is_open = standing(found, to_us(at)).open
            by[rules.authority[number]] = by.get(rules.authority[number], False) or is_open
    return bool(by) and all(by.values())


def binding(rules: VersionRules, stood: Stood, matter: str) -> list[dict[str, Any]]:
    """What the rules of a matter that bind ask: nothing stands instead, none is stricter."""
    moment = datetime(2024, 12, 10, 12, tzinfo=ZoneInfo(stood.tz))
    live = [n for n in bind(rules, stood, moment) if rules.matters[n] == matter]
    outdone = strictest(rules, live)
    return [rules.params[number] for number in live if number not in outdone]
