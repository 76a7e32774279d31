"""Who may tend a set under the licence that it bears, before it is handed to them."""

from __future__ import annotations

from typing import NamedTuple
from uuid import UUID
from zoneinfo import ZoneInfo

from trapline.binding.agents import NO_RULE, agents
from trapline.binding.profiles import Profile, applying
from trapline.binding.world import World
from trapline.findings.asked import rules_in
from trapline.findings.facts import facts
from trapline.lines.models import Set
from trapline.people.models import Papers


class Tenders(NamedTuple):
    """anybody: the rules ask nothing of agents here; else only `members` may tend it."""

    anybody: bool
    members: frozenset[UUID]

    def may(self, member: UUID) -> bool:
        return self.anybody or member in self.members


def who_may_tend(team: UUID, set_id: UUID, world: World) -> Tenders:
    """By the rules on agents and the papers that hold that day. One statement, three if asked."""
    read = facts(team, [set_id], world)
    rules = rules_in(world, read.version)
    if rules is None or not len(read):
        return Tenders(True, frozenset())
    profile = Profile.read(read.profile[0])
    leave = agents(rules, applying(rules, profile, world.moment, rules.of("agent"))).tend
    if leave == (NO_RULE, NO_RULE):
        return Tenders(True, frozenset())
    licence, holder = Set.objects.values_list("licence_id", "licence__holder_id").get(id=set_id)
    may = {holder}
    if leave.forbids == NO_RULE:
        day = world.moment.astimezone(ZoneInfo(profile.tz)).date()
        may |= set(
            Papers.objects.filter(
                licence_id=licence, may__contains=["tend"], valid_from__lte=day,
                valid_until__gte=day,
            ).values_list("agent_id", flat=True)
        )  # fmt: skip
    return Tenders(False, frozenset(may))
