"""The team settles in: its people, licences, kinds of gear, and the land it may be on."""

from datetime import datetime, timedelta
from typing import Any

from trapline.demo import cast
from trapline.demo.gear import KINDS, PARTS, PartOf
from trapline.demo.story.book import Book
from trapline.demo.story.deeds import Ref, member
from trapline.demo.terrain.model import Terrain

STEP = timedelta(seconds=30)
ON_THE_MAP = ("road", "trail", "dwelling", "water")  # what a set may have to keep away from
LEAVE = 4  # parcels that the team has leave for; one of them runs out in these weeks


def settle(book: Book, terrain: Terrain, at: datetime) -> None:
    """All of it in one evening, by the manager who made the team."""
    _people(book, at)
    _licences(book, at + timedelta(minutes=10))
    _papers(book, at + timedelta(minutes=15))
    _gear(book, at + timedelta(minutes=20))
    _land(book, terrain, at + timedelta(minutes=40))
    stages = [{"offset_s": after, "recipient": who} for after, who in cast.STAGES]
    book.say(
        "aud", at + timedelta(hours=1), "set_notice_stages", {"kind": "check", "stages": stages}
    )


def _people(book: Book, at: datetime) -> None:
    """Leaders first, since students name their instructor. The first manager is there already."""
    for person in sorted(cast.PEOPLE[1:], key=lambda one: not one.leads):
        at += STEP
        body = {
            "member": book.named("member", person.key, at),
            "name": person.name,
            "sign_in_name": person.key,
            "email": f"{person.key}@quillback.example",
            "role": person.role,
            "instructor": member(person.instructor) if person.instructor else None,
        }
        book.say("aud", at, "enrol_member", body)


def _licences(book: Book, at: datetime) -> None:
    opens = book.season.opens
    for licence in cast.LICENCES:
        at += STEP
        body = {
            "licence": book.named("licence", licence.number, at),
            "holder": member(licence.holder),
            "number": licence.number,
            "authority": cast.AUTHORITY,
            "valid_from": opens - timedelta(days=90),
            "valid_until": opens + timedelta(days=240),
        }
        book.say("aud", at, "give_licence", body)


def _papers(book: Book, at: datetime) -> None:
    """Each holder's letter for those who walk the same line, and for the other instructors."""
    opens = book.season.opens
    for licence in cast.LICENCES:
        line = cast.BY_KEY[licence.holder].line
        helpers = [
            one.key for one in cast.PEOPLE
            if one.key != licence.holder and line is not None
            and (one.line == line or one.role == "instructor")
        ]  # fmt: skip
        for number, key in enumerate(helpers, start=1):
            at += STEP
            body = {
                "paper": book.named("paper", f"{licence.number} {key}", at),
                "licence": Ref("licence", licence.number),
                "agent": member(key),
                "may": ["tend", "kill", "carry", "tag"],
                "reference": f"Letter {number} to {licence.number} (invented)",
                "valid_from": opens - timedelta(days=90),
                "valid_until": opens + timedelta(days=240),
            }
            book.say("aud", at, "give_paper", body)


def _gear(book: Book, at: datetime) -> None:
    for key, part in PARTS.items():
        at += STEP
        body = {"kind": book.named("part_kind", key, at), **bought(part)}
        book.say("aud", at, "name_part_kind", body)
    for key, kind in KINDS.items():
        at += STEP
        parts = [
            {"role": PARTS[part].role, "count": count, "after_catch": after}
            for part, (count, after) in kind.built.items()
        ]
        body = {
            "kind": book.named("kind", key, at),
            "name": kind.name,
            "device_class": kind.device_class,
            "action": kind.action,
            "skill": Ref("skill", kind.skill),
            "jaw_spread_m": kind.jaw_spread_m,
            "mass_kg": kind.mass_kg,
            "volume_m3": kind.litres and kind.litres / 1000,
            "parts": parts,
        }
        book.say("aud", at, "name_device_kind", body)


def bought(part: PartOf) -> dict[str, Any]:
    """A kind of part as the act that names it has it."""
    return {
        "role": part.role,
        "name": part.name,
        "mass_kg": part.mass_kg,
        "price": part.price,
        "diameter_m": part.diameter_m,
        "construction": part.construction,
        "breaking_load_n": part.breaking_load_n and round(part.breaking_load_n, 1),
        "breaking_load_source": part.breaking_load_source,
    }


def _land(book: Book, terrain: Terrain, at: datetime) -> None:
    opens = book.season.opens
    for number, parcel in enumerate(terrain.parcels[:LEAVE]):
        at += STEP
        body = {
            "permission": book.new_id(at),
            "parcel": parcel.geometry,
            "name": parcel.name,
            "holder": parcel.facts["holder"],
            "valid_from": opens - timedelta(days=60),
            "valid_until": opens + timedelta(days=150 if number else 52),
            "conditions": "Gates shut; no sets within sight of the road.",
            "reference": f"Letter {number + 1}",
        }
        book.say("aud", at, "keep_permission", body)
    for feature in terrain.features:
        if feature.kind in ON_THE_MAP and feature.name:
            at += timedelta(seconds=5)
            shape = {name: feature.geometry[name] for name in ("type", "coordinates")}
            body = {"feature": book.new_id(at), "kind": feature.kind, "name": feature.name,
                    "shape": shape, "source": "Drawn by hand on an invented map"}  # fmt: skip
            book.say("aud", at, "draw_feature", body)
