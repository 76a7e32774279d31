"""The parts of the bundle. Lengths in metres, degrees WGS 84, moments ISO 8601 in UTC."""

from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.utils.translation import gettext as _

from trapline.duties import lists
from trapline.duties.models import OPEN
from trapline.ground.words_of_cautions import CAUTIONS, LOCAL, cautions_of
from trapline.journal.team_settings import numbers_to_call
from trapline.kept.selectors import kept_animals
from trapline.land.selectors import PermissionShown, permissions
from trapline.land.tiles import tile_extent, tile_variants
from trapline.lines.selectors import number_books
from trapline.people.rights import Actor
from trapline.people.selectors import licences, members_in_office, papers, sign_offs
from trapline.phone.vocabulary import labels
from trapline.record.kinds import KINDS
from trapline.rulebook.selectors import species_cards, version_in_force
from trapline.standing import lists as standing
from trapline.standing.selectors import FreeDevice, free_devices
from trapline.wording.rule_words import rule_sentence
from trapline.wording.zones import clock_of

MOST_SETS, MOST_CHECKS, LOOKED_BACK = 500, 2000, timedelta(days=7)
# Animals that a person may still have in hand: in the fur room, or nobody has said.
IN_HAND, MOST_IN_HAND, A_YEAR = ("room", "unsaid"), 50, timedelta(days=366)


def of(actor: Actor, moment: datetime, units: str) -> dict[str, Any]:
    """Everything but the person: fourteen statements. units: metric or imperial."""
    member = None if actor.leads else actor.member
    sets = _sets(actor, member)
    held = {one["licence"] for one in sets}
    lines = _lines(actor.team, member)
    return {
        "sets": sets,
        "lines": lines,
        "clocks": {tz: clock_of(tz, moment) for tz in sorted({one["tz"] for one in lines})},
        "duties": _duties(actor.team, member, units),
        "checks": _checks(actor.team, member, moment),
        "rules": _rules_as_of(actor.team, moment),
        "species": _cards(actor.team),
        "calls": [{"who": one.who, "dial": one.dialled} for one in numbers_to_call(actor.team)],
        "members": [{"id": str(one.id), "name": one.name, "role": one.role}
                    for one in members_in_office(actor.team)],
        "books": [one for one in _books(actor.team) if one["licence"] in held],
        "devices": [{"id": str(one.id), "name": _device(one)}
                    for one in free_devices(actor.team)],
        "papers": {**_papers(actor, member, held), "animals": _in_hand(actor, moment)},
        "cautions": _cautions(),
        "photos": "attach_photo" in KINDS,
        "words": labels(),
        "tiles": {"variants": tile_variants(), "extent": tile_extent()},
    }  # fmt: skip


def _device(one: FreeDevice) -> str:
    """A free device, and the pick list that keeps it: nobody takes it without that word."""
    kept = [_("set aside for %(name)s") % {"name": one.reserved}] if one.reserved else []
    return " · ".join([one.mark, one.kind, *kept])


def _sets(actor: Actor, member: UUID | None) -> list[dict[str, Any]]:
    found = lists.sets(member).filter(team_id=actor.team, active=True)
    found = found.select_related("set__licence", "line", "device__kind", "responsible")
    return [_set(actor, one) for one in found.order_by("due_at", "set__label")[:MOST_SETS]]


def _set(actor: Actor, one: Any) -> dict[str, Any]:
    lon, lat = one.place.coords
    return {
        "id": str(one.set_id),
        "label": one.set.label,
        "line": str(one.line_id),
        "mine": one.responsible_id == actor.member,
        "who": one.responsible.name,
        "lat": lat,
        "lon": lon,
        "placement": one.placement,
        "device": f"{one.device.mark} · {one.device.kind.name}",
        "device_class": one.device_class,
        "action": one.action,
        "tag": one.tag,
        "loop_height_m": one.loop_height_m,
        "licence": str(one.set.licence_id),
        "targets": [str(species) for species in one.targets],
        "placed_at": one.placed_at.isoformat(),
        "last_visit_at": one.last_visit_at.isoformat(),
        "last_found": one.last_found,
        "due_at": one.due_at.isoformat() if one.due_at else None,
    }


def _lines(team: UUID, member: UUID | None) -> list[dict[str, Any]]:
    found = standing.lines(member).filter(team_id=team).order_by("name")
    return [
        {
            "id": str(one.id),
            "name": one.name,
            "tz": one.tz,
            "path": [list(place) for place in one.path.coords] if one.path else [],
        }
        for one in found
    ]


def _duties(team: UUID, member: UUID | None, units: str) -> list[dict[str, Any]]:
    found = lists.duties(member).filter(team_id=team, state__in=OPEN)
    found = found.select_related("rule__authority", "waiting").order_by("due_at", "id")
    return [
        {
            "id": str(one.id),
            "kind": one.kind,
            "set": str(one.about) if one.about else None,
            "due_at": one.due_at.isoformat() if one.due_at else None,
            "waiting": str(one.waiting_id) if one.waiting_id else None,
            "species": str(one.waiting.species_id) if one.waiting_id else None,
            "recomputing": one.recomputing,
            "rule": _rule(one.rule, units) if one.rule_id else None,
        }
        for one in found[: 3 * MOST_SETS]
    ]


def _rule(rule: Any, units: str) -> dict[str, Any]:
    return {
        "code": rule.code,
        "says": rule_sentence(rule, units),
        "authority": rule.authority.name,
        "source": rule.source,
    }


def _checks(team: UUID, member: UUID | None, moment: datetime) -> list[dict[str, Any]]:
    found = standing.checks(member).filter(
        team_id=team, at__gte=moment - LOOKED_BACK, in_effect=True
    )
    rows = found.order_by("-at").values_list("id", "set_id", "at", "found", "by__name")
    return [
        {"id": str(key), "set": str(set_id), "at": at.isoformat(), "found": what, "by": by}
        for key, set_id, at, what, by in rows[:MOST_CHECKS]
    ]


def _rules_as_of(team: UUID, moment: datetime) -> dict[str, Any]:
    book = version_in_force(team, moment)
    if book is None:
        return {"title": "", "as_of": moment.date().isoformat(), "in_force_from": None}
    return {
        "title": book.title,
        "number": book.number,
        "as_of": moment.date().isoformat(),
        "in_force_from": book.at.isoformat(),
    }


def _cards(team: UUID) -> list[dict[str, Any]]:
    return [
        {"id": str(one.id), "name": one.name, "latin": one.latin, "handling": one.handling,
         "card": one.card}
        for one in species_cards(team)
    ]  # fmt: skip


def _books(team: UUID) -> list[dict[str, Any]]:
    return [
        {"licence": str(one.licence), "kind": one.kind, "next": one.next_number, "left": one.left}
        for one in number_books(team)
    ]


def _papers(actor: Actor, member: UUID | None, held: set[str]) -> dict[str, Any]:
    """What an officer asks for: licences, sign-offs, permissions, papers under others' licences."""
    mine = [one for one in sign_offs(actor.team) if one.member_id == actor.member]
    return {
        "licences": [
            {"id": str(one.id), "number": one.number, "holder": one.holder.name,
             "authority": one.authority, "until": one.valid_until.isoformat()}
            for one in licences(actor.team)
            if str(one.id) in held or one.holder_id == actor.member
        ],
        "sign_offs": [
            {"skill": one.skill.name, "by": one.given_by.name, "at": one.given_at.isoformat()}
            for one in mine
        ],
        "permissions": [_permission(one) for one in permissions(actor.team, member)],
        "agents": [
            {"number": one.licence.number, "may": one.may, "reference": one.reference,
             "from": one.valid_from.isoformat(), "until": one.valid_until.isoformat()}
            for one in papers(actor.team)
            if one.agent_id == actor.member
        ],
    }  # fmt: skip


def _in_hand(actor: Actor, moment: datetime) -> list[dict[str, Any]]:
    """The animals of this person, or under their licence, with the numbers they bear."""
    since = moment.date() - A_YEAR
    found = kept_animals(actor.team, actor.member, first=since, places=IN_HAND, most=MOST_IN_HAND)
    return [
        {"animal": str(one.animal), "species": one.species, "site_tag": one.site_tag,
         "seal": one.seal, "at": one.at.isoformat(), "tz": one.tz, "label": one.set_label}
        for one in found if one.taken
    ]  # fmt: skip


def _permission(one: PermissionShown) -> dict[str, Any]:
    return {
        "name": one.name,
        "holder": one.holder,
        "reference": one.reference,
        "conditions": one.conditions,
        "from": one.valid_from.isoformat(),
        "until": one.valid_until.isoformat(),
    }


def _cautions() -> dict[str, Any]:
    """Each once, and which act is done under which of them."""
    acts = ("log_check", "animal_waiting")
    return {
        "texts": {
            code: {"title": str(one.title), "text": str(one.text)} for code, one in CAUTIONS.items()
        },
        "of": {act: [one.code for one in cautions_of(act)] for act in acts},
        "local": str(LOCAL),
    }
