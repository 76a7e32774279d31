"""All the rules of a version as columns, for whoever weighs them on sets in arrays."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from typing import Any
from uuid import UUID

from trapline.ground.ids import new_id
from trapline.rulebook.meaning import params_of
from trapline.rulebook.models import Rule
from trapline.rulebook.parts import day_number
from trapline.rulebook.schema import Document

Codes = tuple[str, ...]

_COLUMNS = (
    "id", "code", "matter", "form", "params", "authority__code", "device_classes", "actions",
    "placements", "zone_codes", "species_codes", "licence_kinds", "from_day", "until_day",
    "holds_from", "holds_until", "instead_of",
)  # fmt: skip


@dataclass(frozen=True)
class VersionRules:
    """Rules by number (their order by code); every field is a column of one length.

    An empty list of what a rule applies to means: all. `authority` numbers `authorities`, codes.
    `from_day`, `until_day`: month x 100 + day on the set's local calendar, both or neither; they
    may lie over the new year. It holds from `holds_from` up to `holds_until`, that not included.
    `replaces`: pairs (rule, the wider rule that it stands instead of) where both apply.
    """

    ids: tuple[UUID, ...]
    codes: Codes
    matters: Codes
    forms: Codes
    params: tuple[dict[str, Any], ...]
    authority: tuple[int, ...]
    authorities: Codes
    device_classes: tuple[Codes, ...]
    actions: tuple[Codes, ...]
    placements: tuple[Codes, ...]
    zone_codes: tuple[Codes, ...]
    species_codes: tuple[Codes, ...]
    licence_kinds: tuple[Codes, ...]
    from_day: tuple[int | None, ...]
    until_day: tuple[int | None, ...]
    holds_from: tuple[datetime | None, ...]
    holds_until: tuple[datetime | None, ...]
    replaces: tuple[tuple[int, int], ...]

    def of(self, *matters: str) -> list[int]:
        """The numbers of the rules of some matters."""
        return [number for number, matter in enumerate(self.matters) if matter in matters]


@lru_cache(maxsize=64)
def version_rules(version: UUID) -> VersionRules:
    """The rules of a version. One statement, the first time: a version never changes."""
    return _columns(Rule.objects.filter(version_id=version).values_list(*_COLUMNS))


def draft_rules(document: Document) -> VersionRules:
    """The rules of a rulebook that is not taken in, under ids of the moment. No statement."""
    return _columns(
        (
            new_id(), rule.code, rule.matter, rule.form, params_of(rule), rule.authority,
            rule.device_classes, rule.actions, rule.placements, rule.zones, rule.species,
            rule.licence_kinds, rule.from_day and day_number(rule.from_day),
            rule.until_day and day_number(rule.until_day), rule.holds_from, rule.holds_until,
            rule.instead_of,
        )
        for rule in document.rules
    )  # fmt: skip


def _columns(found: Iterable[tuple[Any, ...]]) -> VersionRules:
    rows = sorted(found, key=lambda row: str(row[1]))
    numbers = {row[1]: number for number, row in enumerate(rows)}
    authorities = tuple(sorted({row[5] for row in rows}))
    place = {code: number for number, code in enumerate(authorities)}

    def column(number: int) -> tuple[Any, ...]:
        return tuple(row[number] for row in rows)

    def lists(number: int) -> tuple[Codes, ...]:
        return tuple(tuple(str(code) for code in row[number]) for row in rows)

    return VersionRules(
        ids=column(0),
        codes=column(1),
        matters=column(2),
        forms=column(3),
        params=column(4),
        authority=tuple(place[row[5]] for row in rows),
        authorities=authorities,
        device_classes=lists(6),
        actions=lists(7),
        placements=lists(8),
        zone_codes=lists(9),
        species_codes=lists(10),
        licence_kinds=lists(11),
        from_day=column(12),
        until_day=column(13),
        holds_from=column(14),
        holds_until=column(15),
        replaces=tuple(
            (number, numbers[wider])
            for number, row in enumerate(rows)
            for wider in row[16]
            if wider in numbers
        ),
    )
