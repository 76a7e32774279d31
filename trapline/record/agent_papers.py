"""Papers that let somebody do something under another's licence, and what was done without one."""

from datetime import date
from typing import Annotated, Literal
from uuid import UUID
from zoneinfo import ZoneInfo

from pydantic import Field, StringConstraints

from trapline.binding.agents import DEEDS, NO_RULE, Agents, agents
from trapline.binding.matters import VersionRules, version_rules
from trapline.binding.profiles import Profile, applying
from trapline.ground.errors import Held, NeedsReview
from trapline.lines.words import Fate
from trapline.people.models import Licence, Membership, Papers
from trapline.record.acting import Body, Desk, Kind
from trapline.record.after import look_again
from trapline.record.at_hand import SetAtHand
from trapline.record.check_body import CheckSaid
from trapline.rulebook.models import Species

Deed = Literal["tend", "kill", "carry", "tag"]


class GivePaper(Body):
    """A paper as it is written. Said anew under its id it changes; an earlier last day ends it."""

    paper: UUID
    licence: UUID
    agent: UUID
    may: Annotated[list[Deed], Field(min_length=1, max_length=4)]
    reference: Annotated[
        str, StringConstraints(strip_whitespace=True, min_length=1, max_length=200)
    ]
    valid_from: date
    valid_until: date


def give_paper(desk: Desk, body: GivePaper) -> None:
    if not desk.actor.leads:
        raise NeedsReview("paper", "only_leaders", what="give_paper")
    if body.valid_until < body.valid_from:
        raise NeedsReview("valid_until", "dates_out_of_order")
    licence = Licence.objects.filter(id=body.licence).first()
    if licence is None:
        raise Held("licence", body.licence)
    if not Membership.objects.filter(id=body.agent).exists():
        raise Held("agent", body.agent)
    if licence.holder_id == body.agent:
        raise NeedsReview("agent", "agent_is_holder", number=licence.number)
    was = Papers.objects.filter(id=body.paper).values_list("licence_id", flat=True).first()
    Papers.objects.update_or_create(
        id=body.paper,
        defaults={
            "team_id": desk.team, "licence_id": body.licence, "agent_id": body.agent,
            "may": [deed for deed in DEEDS if deed in body.may],
            **body.model_dump(include={"reference", "valid_from", "valid_until"}),
        },
    )  # fmt: skip
    look_again(desk, set__licence_id__in=[one for one in (was, body.licence) if one])


def agent_flags(
    desk: Desk, hand: SetAtHand, version: UUID | None, body: CheckSaid, *, tended: bool
) -> list[str]:
    """What was done under another's licence that neither rule nor paper lets them: a code a deed.

    No statement where the book says nothing of agents, else at most three.
    """
    rules = None if version is None else version_rules(version)
    if rules is None or not rules.of("agent"):
        return []
    holder = Licence.objects.values_list("holder_id", flat=True).get(id=hand.licence)
    done = {deed: by - {holder} for deed, by in _done(desk, body, tended=tended).items()}
    if not any(done.values()):
        return []
    asked = _asked(desk, hand, rules)
    day = desk.at.astimezone(ZoneInfo(hand.tz)).date()
    held = {
        (deed, agent)
        for agent, may in Papers.objects.filter(
            licence_id=hand.licence, valid_from__lte=day, valid_until__gte=day
        ).values_list("agent_id", "may")
        for deed in may
    }
    return [
        f"agent_may_not_{deed}"
        for deed in DEEDS
        if any(_barred(asked, deed, agent, held) for agent in done[deed])
    ]


def _done(desk: Desk, body: CheckSaid, *, tended: bool) -> dict[str, set[UUID]]:
    """Who did what at the set: one may dispatch and another carry."""
    actor = {desk.actor.member}
    kept = any(one.fate in (Fate.DISPATCHED, Fate.DEAD) for one in body.catches)
    return {
        "tend": actor if tended else set(),
        "kill": {one.dispatched_by or desk.actor.member for one in body.catches
                 if one.fate == Fate.DISPATCHED},
        "carry": actor if kept else set(),
        "tag": actor if any(one.site_tag or one.seal for one in body.catches) else set(),
    }  # fmt: skip


def _asked(desk: Desk, hand: SetAtHand, rules: VersionRules) -> Agents:
    targets = tuple(Species.objects.filter(id__in=hand.targets).values_list("code", flat=True))
    profile = Profile(
        hand.device_class, hand.action, hand.placement, frozenset(hand.zone_codes),
        hand.licence_kind, targets, hand.tz,
    )  # fmt: skip
    return agents(rules, applying(rules, profile, desk.at, rules.of("agent")))


def _barred(asked: Agents, deed: str, agent: UUID, held: set[tuple[str, UUID]]) -> bool:
    leave = getattr(asked, deed)
    return leave.forbids != NO_RULE or (leave.paper != NO_RULE and (deed, agent) not in held)


KIND = Kind("give_paper", {1: GivePaper}, give_paper)
