"""A small team in an invented place, made through the acts wherever an act makes it."""

from copy import deepcopy
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import UUID

from trapline.duties.models import Stage
from trapline.findings.fit import fit_of
from trapline.gear.models import DeviceKind, KindPart, PartKind
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.people.models import Licence, Membership, Person, Skill, Team
from trapline.people.rights import Actor
from trapline.record.desk import submit
from trapline.rulebook.models import Species

PASSWORD = "cedar-lantern-42"
START = datetime(2026, 1, 5, 18, 0, tzinfo=UTC)  # 11:00 in the line's zone (UTC-7)
TZ = "America/Whitehorse"
PLACE = (-128.40, 61.90)

RULEBOOK: dict[str, Any] = {
    "format": 1,
    "title": "Rules of an invented territory",
    "in_force_from": "2025-09-01T00:00:00-07:00",
    "authorities": [
        {"code": "territory", "name": "The territory", "kind": "state"},
        {"code": "team", "name": "Our own rules", "kind": "team"},
    ],
    "species": [
        {"code": "marten", "name": "Marten", "latin": "Martes americana", "handling": "keep"},
        {"code": "lynx", "name": "Lynx", "latin": "Lynx canadensis", "handling": "leave_and_call"},
    ],
    "zones": [
        {
            "code": "A",
            "name": "Upper valley",
            "area": {
                "type": "Polygon",
                "coordinates": [
                    [[-128.6, 61.8], [-128.2, 61.8], [-128.2, 62.0], [-128.6, 62.0], [-128.6, 61.8]]
                ],
            },
        }
    ],
    "rules": [
        {
            "code": "holding-each-day",
            "matter": "check",
            "authority": "territory",
            "form": "within_hours",
            "params": {"hours": 24},
            "actions": ["holding"],
            "source": "invented",
        },
        {
            "code": "killing-third-day",
            "matter": "check",
            "authority": "territory",
            "form": "every_days",
            "params": {"days": 3},
            "actions": ["killing"],
            "source": "invented",
        },
        {
            "code": "team-two-days",
            "matter": "check",
            "authority": "team",
            "form": "within_hours",
            "params": {"hours": 48},
            "source": "invented",
        },
    ],
}


@dataclass
class World:
    """Ids and actors of one team."""

    team: UUID
    slug: str
    manager: Actor
    instructor: Actor
    student: Actor
    licence: UUID
    skills: dict[str, UUID]
    kinds: dict[str, UUID]
    part_kinds: dict[str, UUID]
    species: dict[str, UUID]
    line: UUID

    def device(self, kind: str, mark: str) -> UUID:
        """Build a device of a kind with all its parts new."""
        device = new_id()
        with team_scope(self.team):
            roles = KindPart.objects.filter(kind_id=self.kinds[kind]).values_list("role", "count")
            parts = [
                {"kind": str(self.part_kinds[role])} for role, count in roles for _ in range(count)
            ]
        submit(
            self.manager,
            "build_device",
            {"device": device, "kind": self.kinds[kind], "mark": mark, "parts": parts},
            at=START - timedelta(days=30),
            now=START,
        )
        return device

    def set(
        self,
        label: str,
        kind: str = "snare",
        *,
        responsible: Actor | None = None,
        at: datetime = START,
        **more: Any,
    ) -> UUID:
        """Place a set of a fresh device at `at`."""
        made = new_id()
        body: dict[str, Any] = {
            "set": made,
            "line": self.line,
            "label": label,
            "licence": self.licence,
            "place": PLACE,
            "placement": "land",
            "device": self.device(kind, f"{label}-device"),
            "responsible": (responsible or self.student).member,
            "targets": [self.species["marten"]],
            **more,
        }
        submit(self.instructor, "place_set", body, at=at, now=at)
        return made

    def check(self, actor: Actor, set_id: UUID, at: datetime, **said: Any) -> UUID:
        """Log a check, in order and left as it was unless said otherwise."""
        made: UUID = said.pop("check", new_id())
        body = {"check": made, "set": set_id, "found": "in_order", "done": ["left"], **said}
        submit(actor, "log_check", body, at=at, now=said.pop("now", at))
        return made


def _member(team: Team, role: str, name: str, instructor: Membership | None = None) -> Membership:
    person = Person.objects.create_user(
        f"{name}.{team.slug}".lower(), PASSWORD, name=name, email=f"{name}@{team.slug}.example"
    )
    made: Membership = Membership.objects.create(
        team=team, person=person, role=role, name=name, instructor=instructor
    )
    return made


def _gear(team: Team, skills: dict[str, UUID]) -> tuple[dict[str, UUID], dict[str, UUID]]:
    roles = ("cable", "lock", "swivel", "frame", "spring", "trigger")
    parts = {
        role: PartKind.objects.create(team=team, role=role, name=f"{role} as bought").id
        for role in roles
    }
    made = {}
    for name, device_class, action, built in (
        ("snare", "snare", "holding", {"cable": "spent", "lock": "freed", "swivel": "freed"}),
        (
            "body", "body_gripping", "killing",
            {"frame": "stays", "spring": "stays", "trigger": "stays"},
        ),
    ):  # fmt: skip
        kind = DeviceKind.objects.create(
            team=team, name=name, device_class=device_class, action=action,
            skill_id=skills[device_class],
        )  # fmt: skip
        made[name] = kind.id
        KindPart.objects.bulk_create(
            KindPart(team=team, kind=kind, role=role, after_catch=after)
            for role, after in built.items()
        )
    return made, parts


STANDING: dict[str, World] = {}  # worlds that were put into this process's database at its start


def world_of(slug: str) -> World:
    """The world that stands in the database since its start; made anew where it was emptied."""
    fit_of.cache_clear()  # what one test has changed under a stamp, the next may change otherwise
    known = STANDING.get(slug)
    if known is not None and Team.objects.filter(id=known.team).exists():
        return deepcopy(known)
    return make_world(slug)


def make_world(slug: str) -> World:
    """A manager, an instructor, a student; snares and body-gripping traps; a rulebook; a line."""
    team = Team.objects.create(name=f"Team {slug}", slug=slug)
    with team_scope(team):
        boss = _member(team, "manager", "Maud")
        teacher = _member(team, "instructor", "Ivar")
        pupil = _member(team, "member", "Signe", teacher)
        skills = {
            code: Skill.objects.create(team=team, code=code, name=code).id
            for code in ("snare", "body_gripping", "dispatch")
        }
        licence = Licence.objects.create(
            team=team, holder=teacher, number=f"T-{slug}", authority="territory",
            valid_from=date(2025, 7, 1), valid_until=date(2026, 6, 30),
        )  # fmt: skip
        kinds, parts = _gear(team, skills)
        for number, (offset, who) in enumerate(
            ((-4 * 3600, "responsible"), (0, "responsible"), (3600, "instructor")), start=1
        ):
            Stage.objects.create(
                team=team, kind="check", number=number, offset_s=offset, recipient=who
            )
        for number, who in enumerate(("responsible", "instructor", "managers"), start=1):
            Stage.objects.create(
                team=team, kind="animal_waiting", number=number, offset_s=0, recipient=who
            )

    def actor(member: Membership) -> Actor:
        return Actor(team.id, slug, member.id, member.role, member.person_id, member.name)

    manager, instructor, student = actor(boss), actor(teacher), actor(pupil)
    submit(manager, "take_rulebook", {"document": RULEBOOK}, at=START, now=START)
    line = new_id()
    submit(
        instructor,
        "draw_line",
        {
            "line": line, "name": "Creek line", "tz": TZ, "travel": "snowshoe",
            "path": {"type": "LineString", "coordinates": [[-128.42, 61.89], [-128.38, 61.91]]},
        },
        at=START,
        now=START,
    )  # fmt: skip
    with team_scope(team):
        species = dict(Species.objects.values_list("code", "id"))
    return World(
        team.id, slug, manager, instructor, student, licence.id, skills, kinds, parts, species, line
    )
