"""A rulebook with one thing changed: a rule put in, altered or taken out; zones drawn anew.

What comes out is read as a file would be: it is sound, or Refused names what is wrong.
"""

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from trapline.rulebook.models import Version
from trapline.rulebook.schema import Document, read_document

Plain = dict[str, Any]


def with_rule(version: Version, rule: Plain, instead: str | None, since: datetime) -> Document:
    """The version's rulebook with `rule` in the place of the one with the code `instead`.

    None: at the end. In force from `since`.
    """
    rules: list[Plain] = list(version.document.get("rules", ()))
    at = place_of(version, instead)
    rules[at : at + 1] = [rule]
    return _read(version, since, rules=rules)


def place_of(version: Version, code: str | None) -> int:
    """The number of a rule in the version's document; that of a new one, for a code it has not."""
    codes = [one["code"] for one in version.document.get("rules", ())]
    return codes.index(code) if code in codes else len(codes)


def without_rule(version: Version, code: str, since: datetime) -> Document:
    """The version's rulebook less a rule. Refused when another stands instead of it."""
    rules = [one for one in version.document.get("rules", ()) if one["code"] != code]
    return _read(version, since, rules=rules)


def with_zones(version: Version, zones: Iterable[Plain], since: datetime) -> Document:
    """The version's rulebook with zones in the place of those with the same codes, or added."""
    drawn = {one["code"]: one for one in version.document.get("zones", ())}
    drawn |= {one["code"]: one for one in zones}
    return _read(version, since, zones=list(drawn.values()))


def _read(version: Version, since: datetime, **changed: Any) -> Document:
    return read_document(version.document | {"in_force_from": since.isoformat()} | changed)
