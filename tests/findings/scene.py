"""Sets with something wrong and sets without, from one set-up. All of it is invented."""

from datetime import datetime
from typing import Any
from uuid import UUID

from tests.world import RULEBOOK, START, World
from trapline.findings.models import Finding
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.record.desk import submit
from trapline.watch.look import look_over
from trapline.watch.redue import redue


def rule(code: str, matter: str, form: str, params: dict[str, Any], **more: Any) -> dict[str, Any]:
    """A rule of the territory."""
    return {
        "code": code, "matter": matter, "authority": "territory", "form": form, "params": params,
        "source": "invented", **more,
    }  # fmt: skip


def take(world: World, *rules: dict[str, Any], at: datetime = START, **more: Any) -> None:
    """A rulebook in force from `at` with these rules beside those of the world; findings follow."""
    book = {**RULEBOOK, **more, "rules": [*RULEBOOK["rules"], *rules]}
    submit(
        world.manager, "take_rulebook", {"document": {**book, "in_force_from": at.isoformat()}},
        at=at, now=at,
    )  # fmt: skip
    look(at)


def look(at: datetime) -> None:
    """What watch/ does by itself."""
    redue(at)
    look_over(at)


def found(world: World, set_id: UUID) -> dict[str, dict[str, Any]]:
    """The open findings on a set: numbers by code, with the discriminator behind a colon."""
    with team_scope(world.team):
        return {
            f"{one.code}:{one.discriminator}".rstrip(":"): one.numbers
            for one in Finding.objects.filter(set=set_id, closed_at=None)
        }


def codes(world: World, set_id: UUID) -> set[str]:
    """The codes of the open findings on a set."""
    return {code.split(":")[0] for code in found(world, set_id)}


def sign_off(world: World, skill: str, at: datetime = START) -> UUID:
    """The student is signed off for a skill."""
    act = new_id()
    said = {"member": world.student.member, "skill": world.skills[skill]}
    submit(world.instructor, "sign_off", said, act_id=act, at=at, now=at)
    return act


def kind(world: World, name: str, device_class: str, action: str, *parts: str, **more: Any) -> str:
    """A kind of device, with parts of the world's kinds of part."""
    made = new_id()
    body = {
        "kind": made, "name": name, "device_class": device_class, "action": action,
        "parts": [{"role": role} for role in parts], **more,
    }  # fmt: skip
    submit(world.manager, "name_device_kind", body, at=START, now=START)
    world.kinds[name] = made
    return name


def part_kind(world: World, role: str, **more: Any) -> None:
    """The kind of part of a role, said anew: new devices are built of it."""
    made = world.part_kinds.get(role) or new_id()
    body = {"kind": made, "role": role, "name": f"{role} as bought", **more}
    submit(world.manager, "name_part_kind", body, at=START, now=START)
    world.part_kinds[role] = made


def read(world: World, what: str, value: float, at: datetime) -> None:
    """A reading on the line."""
    body = {"reading": new_id(), "line": world.line, "what": what, "value": value}
    submit(world.instructor, "take_reading", body, at=at, now=at)
