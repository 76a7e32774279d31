"""Which rules apply to a set like this one. Many sets share few likenesses: each is asked once."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from trapline.binding.matters import VersionRules

SEPARATOR = "\x1f"


@dataclass(frozen=True)
class Profile:
    """What rules are chosen by. Sets that are alike in all of it are bound by the same rules."""

    device_class: str
    action: str
    placement: str
    zones: frozenset[str]
    licence_kind: str
    targets: tuple[str, ...]
    tz: str

    @classmethod
    def read(cls, text: str) -> Profile:
        """From the columns as one text, SEPARATOR between them."""
        device_class, action, placement, zones, licence_kind, targets, tz = text.split(SEPARATOR)
        return cls(
            device_class,
            action,
            placement,
            frozenset(zones.split(",") if zones else ()),
            licence_kind,
            tuple(targets.split(",")) if targets else (),
            tz,
        )

    def local_day(self, moment: datetime) -> int:
        """Month x 100 + day on the set's calendar."""
        local = moment.astimezone(ZoneInfo(self.tz))
        return local.month * 100 + local.day


def fits(rules: VersionRules, number: int, profile: Profile, moment: datetime) -> bool:
    """Whether a rule applies, whatever species it speaks of."""
    return (
        alike(rules, number, profile)
        and in_dates(rules, number, moment)
        and on_days(rules, number, profile.local_day(moment))
    )


def alike(rules: VersionRules, number: int, profile: Profile) -> bool:
    """Whether a rule is about sets like this: device, placement, licence, zone."""
    allowed = (
        (rules.device_classes[number], profile.device_class),
        (rules.actions[number], profile.action),
        (rules.placements[number], profile.placement),
        (rules.licence_kinds[number], profile.licence_kind),
    )
    if any(codes and mine not in codes for codes, mine in allowed):
        return False
    zones = rules.zone_codes[number]
    return not zones or not profile.zones.isdisjoint(zones)


def in_dates(rules: VersionRules, number: int, moment: datetime) -> bool:
    """Whether a rule is effective at a moment: from the first, up to the second of its dates."""
    since, until = rules.holds_from[number], rules.holds_until[number]
    return (since is None or since <= moment) and (until is None or moment < until)


def on_days(rules: VersionRules, number: int, on: int) -> bool:
    """Whether a rule holds on a day of the year (month x 100 + day)."""
    first, last = rules.from_day[number], rules.until_day[number]
    if first is None or last is None:
        return True
    return first <= on <= last if first <= last else on >= first or on <= last


def speaks_of(rules: VersionRules, number: int, species: str) -> bool:
    """Whether a rule is about a species."""
    return not rules.species_codes[number] or species in rules.species_codes[number]


def applying(
    rules: VersionRules, profile: Profile, moment: datetime, numbers: list[int]
) -> list[int]:
    """Those of the rules that apply to the profile and that no other of them stands instead of.

    A rule that names species applies to a set that is made for one of them.
    """
    found = {
        number
        for number in numbers
        if fits(rules, number, profile, moment)
        and (
            not rules.species_codes[number]
            or any(speaks_of(rules, number, one) for one in profile.targets)
        )
    }
    gone = {wider for rule, wider in rules.replaces if rule in found}
    return sorted(found - gone)
