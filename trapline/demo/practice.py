"""The practice ground: sets with a fault each, which instructors laid for students to find.

All of it is invented. It shows every kind of finding with its remedy; rulebook.yaml has rules that
hold for the practice licence alone.
"""

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from trapline.duties.defaults import DISPATCH
from trapline.findings.models import Look
from trapline.gear.models import PartKind
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.land.models import Permission
from trapline.people.models import Membership, Role, SignOff, Team
from trapline.people.rights import Actor, actor_of
from trapline.record.desk import submit
from trapline.rulebook.models import Authority, Species
from trapline.watch.look import look_over

DAY = timedelta(days=1)
STEP = 0.0012  # degrees between sets: some 60 m
# Kinds: class, action, spread in metres, parts that are noted.
KINDS: dict[str, tuple[str, str, float | None, tuple[str, ...]]] = {
    "snare": ("snare", "killing", None, ("cable", "lock", "swivel")),
    "snare, thin": ("snare", "killing", None, ("thin cable", "lock", "swivel")),
    "snare, no swivel": ("snare", "killing", None, ("cable", "lock")),
    "snare, unnoted": ("snare", "killing", None, ()),
    "restraint": ("cable_restraint", "holding", None, ("cable", "strong lock", "swivel", "link")),
    "restraint, bare": ("cable_restraint", "holding", None, ("cable", "lock", "swivel")),
    "restraint, strong link": ("cable_restraint", "holding", None,
                               ("cable", "strong lock", "swivel", "strong link")),
    "body 12": ("body_gripping", "killing", 0.12, ()),
    "body 8": ("body_gripping", "killing", 0.08, ()),
    "body 25": ("body_gripping", "killing", 0.25, ()),
    "body, unmeasured": ("body_gripping", "killing", None, ()),
    "long-spring": ("foothold_long", "holding", 0.16, ()),
    "coil 11": ("foothold_coil", "holding", 0.11, ()),
    "cage": ("cage", "holding", None, ()),
    "cage, old spring": ("cage", "holding", None, ("old spring",)),
}  # fmt: skip
PARTS: dict[str, dict[str, Any]] = {
    "cable": {"role": "cable", "diameter_m": 0.0024, "breaking_load_n": 4092},
    "thin cable": {"role": "cable", "diameter_m": 0.0016, "breaking_load_n": 2135},
    "lock": {"role": "lock"},
    "strong lock": {"role": "lock", "breaking_load_n": 2600},
    "swivel": {"role": "swivel", "breaking_load_n": 2669},
    "old spring": {"role": "spring", "life_nights": 30},
    "link": {"role": "breakaway", "breaking_load_n": 1260},
    "strong link": {"role": "breakaway", "breaking_load_n": 2200},
}


@dataclass(frozen=True)
class Fault:
    """A set of the practice ground: its kind of device, what it is made for, what is amiss."""

    kind: str
    target: str = ""
    placement: str = "land"
    days: float = 0.1  # for how long it has stood
    east: float = 0.0  # so many degrees off the parcel
    more: dict[str, Any] = field(default_factory=dict)


LOOP = {"loop_diameter_m": 0.23, "loop_height_m": 0.25, "snow_depth_m": 0.3}
LAID = (
    Fault("cage", "snowshoe_hare"),  # season closed; later, unsupervised
    Fault("cage", "snowshoe_hare", days=3.5),  # overdue, and so is what is asked of its hare
    Fault("body 12", "muskrat", "elevated"),  # season not open
    Fault("cage, old spring", "snowshoe_hare", days=40),  # not pulled after the close; worn
    Fault("long-spring"),  # forbidden on land
    Fault("body 25", "marten"),  # jaw spread, too large, endangers
    Fault("body, unmeasured", "weasel"),
    Fault("body 8", "marten", "elevated"),  # too small
    Fault("coil 11", "mink", "elevated"),  # nobody signed off
    Fault("snare", "lynx", more={**LOOP, "loop_diameter_m": 0.4}),
    Fault("snare", "lynx", more={**LOOP, "loop_height_m": 1.0}),
    Fault("snare, thin", "lynx", more=LOOP),
    Fault("snare, no swivel", "lynx", more={"tag": "", "bait": "fish", "bait_in_view": True}),
    Fault("snare, unnoted", "lynx", more=LOOP),
    Fault("restraint, bare", "coyote", more={**LOOP, "loop_height_m": 0.05}),
    Fault("restraint, strong link", "coyote", more=LOOP),
    Fault("snare", "lynx", days=1.0, more=LOOP),  # a catch spends its cable
    Fault("body 12", "weasel", more={"snow_depth_m": 0.1}),  # snowed in; catches of no target
    Fault("coil 11", "mink", "submersion", more={"water_depth_m": 0.4, "anchoring": "slide lock"}),
    Fault("coil 11", "mink", "submersion"),  # nothing confirmed, depth unknown
    Fault("body 12", "mink", "submersion", more={"water_depth_m": 0.1}),  # falls dry; ice comes
    Fault("body 12", "mink", "under_ice", more={"water_depth_m": 0.9}),  # no ice; not theirs
    Fault("body 12", "marten", "elevated", east=0.06),  # outside every permission
    Fault("body 12", "marten", "elevated", east=0.02),  # lapsed
    Fault("body 12", "marten", "elevated", east=0.04),  # not theirs
    Fault("body 12", "marten", "elevated", more={"licence": "old"}),  # and no paper for it
)


def practice(team: Team, now: datetime) -> dict[int, UUID]:
    """Lay it out, as of `now`. Gives the sets by their number in LAID."""
    with team_scope(team.id):
        able = SignOff.objects.filter(skill__code=DISPATCH, ended_at=None).values("member_id")
        in_office = Membership.objects.filter(ended_at=None).order_by("name")
        pupil = in_office.filter(role=Role.MEMBER).exclude(id__in=able).first()
        boss, teacher = (
            in_office.filter(role=role).first() for role in (Role.MANAGER, Role.INSTRUCTOR)
        )
        assert boss is not None and teacher is not None and pupil is not None
        actors = [actor_of(team.id, one.id) for one in (boss, teacher, pupil)]
        sets = _Ground(now, *actors).lay()
        # Some acts above were heard of before others that are older.
        Look.objects.filter(set__in=sets.values()).update(next_at=now)
    look_over(now)
    return sets


class _Ground:
    """The acts, each by whoever may do it."""

    def __init__(self, now: datetime, boss: Actor, teacher: Actor, pupil: Actor) -> None:
        self.now, self.boss, self.teacher, self.pupil = now, boss, teacher, pupil
        extents = [one.parcel.extent for one in Permission.objects.all()]
        self.west = max(east for _, _, east, _ in extents) + 0.02
        self.south = min(south for _, south, _, _ in extents)
        self.species = dict(Species.objects.values_list("code", "id"))

    def say(self, by: Actor, act: str, ago: timedelta, /, **body: Any) -> None:
        at = self.now - ago
        submit(by, act, body, at=at, now=at)

    def lay(self) -> dict[int, UUID]:
        """Land, licences, line, kinds; the sets; what happened at them since."""
        self._land()
        self.licences = {"practice": self._licence("PRACTICE", 90), "old": self._licence("OLD", -1)}
        self.line, self.pond = self._line("Practice ground"), self._line("Practice pond")
        self.kinds = {name: self._kind(name) for name in KINDS}
        self._read("water_level_m", 1.0, 45 * DAY)
        self._read("snow_depth_m", 0.3, 45 * DAY)
        order = sorted(range(len(LAID)), key=lambda number: -LAID[number].days)
        sets = {number: self._place(number, LAID[number]) for number in order}
        self._since(sets)
        return dict(sorted(sets.items()))

    def _land(self) -> None:
        for east, until, members in (
            (0.0, 200, []), (0.02, -2, []), (0.04, 200, [self.teacher.member]),
        ):  # fmt: skip
            west = self.west + east
            edges = [(west - 0.002, self.south - 0.002), (west + 0.017, self.south + 0.01)]
            (w, s), (e, n) = edges
            ring = [[w, s], [e, s], [e, n], [w, n], [w, s]]
            self.say(
                self.boss, "keep_permission", 49 * DAY, permission=new_id(),
                parcel={"type": "Polygon", "coordinates": [ring]}, name="Practice ground",
                holder="The school (invented)", members=members,
                valid_from=(self.now - 100 * DAY).date(),
                valid_until=(self.now + until * DAY).date(),
            )  # fmt: skip
        path = [[self.west, self.south - 0.0001], [self.west + 0.002, self.south - 0.0001]]
        self.say(self.boss, "draw_feature", 49 * DAY, feature=new_id(), kind="trail",
                 name="Practice trail",
                 shape={"type": "LineString", "coordinates": path})  # fmt: skip

    def _line(self, name: str) -> UUID:
        made = new_id()
        self.say(self.teacher, "draw_line", 50 * DAY, line=made, name=name,
                 tz="America/Whitehorse", travel="foot")  # fmt: skip
        return made

    def _licence(self, number: str, until: int) -> UUID:
        made = new_id()
        self.say(
            self.boss, "give_licence", 48 * DAY, licence=made, holder=self.teacher.member,
            number=number, authority="The school (invented)", kind="practice",
            valid_from=(self.now - 100 * DAY).date(), valid_until=(self.now + until * DAY).date(),
        )  # fmt: skip
        if number == "PRACTICE":
            self.say(
                self.boss, "give_paper", 48 * DAY, paper=new_id(), licence=made,
                agent=self.pupil.member, may=["tend", "kill", "carry", "tag"],
                reference="The school's letter (invented)",
                valid_from=(self.now - 100 * DAY).date(),
                valid_until=(self.now + until * DAY).date(),
            )  # fmt: skip
        return made

    def _kind(self, name: str) -> UUID:
        device_class, action, spread, parts = KINDS[name]
        made = new_id()
        self.say(
            self.boss, "name_device_kind", 48 * DAY, kind=made, name=f"Practice {name}",
            device_class=device_class, action=action, jaw_spread_m=spread,
            parts=[{"role": PARTS[part]["role"], "after_catch": _after(part)} for part in parts]
            + ([{"role": "stop"}] if name == "restraint, bare" else []),
        )  # fmt: skip
        return made

    def _device(self, number: int, name: str) -> UUID:
        made, parts = new_id(), KINDS[name][3]
        self.say(
            self.teacher, "build_device", 47 * DAY, device=made, kind=self.kinds[name],
            mark=f"PR-{number + 1:02}", parts=[{"kind": self._part(part)} for part in parts],
        )  # fmt: skip
        return made

    def _part(self, name: str) -> UUID:
        told = f"Practice {name}"
        there = PartKind.objects.filter(name=told).values_list("id", flat=True).first()
        if there is not None:
            return UUID(str(there))
        made, source = new_id(), "invented" if "breaking_load_n" in PARTS[name] else ""
        self.say(self.boss, "name_part_kind", 48 * DAY, kind=made, name=told,
                 breaking_load_source=source, **PARTS[name])  # fmt: skip
        return made

    def _place(self, number: int, fault: Fault) -> UUID:
        made, more = new_id(), {"tag": f"PG-{number + 1:02}", **fault.more}
        licence = self.licences[str(more.pop("licence", "practice"))]
        column, row = number % 6, number // 6
        place = [self.west + fault.east + column * STEP * 2, self.south + row * STEP]
        body = {
            "set": made, "line": self.pond if fault.placement == "under_ice" else self.line,
            "label": f"PG-{number + 1:02}", "licence": licence,
            "place": place, "placement": fault.placement,
            "device": self._device(number, fault.kind), "responsible": self.pupil.member,
            "targets": [self.species[fault.target]] if fault.target else [], **more,
        }  # fmt: skip
        self.say(self.teacher, "place_set", fault.days * DAY, **body)
        return made

    def _since(self, sets: dict[int, UUID]) -> None:
        """Catches and looks, a notice, a fall of snow, water that goes down."""
        # The hare's tag, report and head are overdue; the martens' tags are not yet. Where the hare
        # is, nobody has said either.
        lying: list[UUID] = []
        for minutes, number, species in (
            (3 * 1440, 1, "snowshoe_hare"), (60, 17, "marten"), (50, 17, "marten"),
            (45, 16, "lynx"), (40, 6, "weasel"), (35, 6, "weasel"),
        ):  # fmt: skip
            lying.append(new_id())
            self._look(sets[number], minutes, found="animal", catches=[{
                "animal": lying[-1], "species": self.species[species], "alive_on_arrival": False,
                "fate": "found_dead",
            }])  # fmt: skip
        self.say(self.teacher, "move_pelts", timedelta(minutes=32), animals=lying[1:],
                 state="whole", place="practice shed")  # fmt: skip
        self._look(sets[0], 30)
        self._look(sets[7], 30, found="buried")
        self._read("water_level_m", 0.8, timedelta(minutes=20))
        self._read("snow_depth_m", 0.62, timedelta(minutes=20))
        authority = Authority.objects.get(code="office").id
        self.say(
            self.boss, "close_by_notice", timedelta(minutes=20), closure=new_id(),
            authority=authority, species=self.species["snowshoe_hare"],
            from_at=self.now - timedelta(minutes=20), reference="Practice notice (invented)",
        )  # fmt: skip
        self._read("ice_m", 0.05, timedelta(minutes=15))
        self._read("ice_m", 0.0, timedelta(minutes=15), self.pond)

    def _look(self, key: UUID, minutes: int, **said: Any) -> None:
        body = {"check": new_id(), "set": key, "found": "in_order", "done": ["left"], **said}
        self.say(self.pupil, "log_check", timedelta(minutes=minutes), **body)

    def _read(self, what: str, value: float, ago: timedelta, line: UUID | None = None) -> None:
        self.say(self.teacher, "take_reading", ago, reading=new_id(), line=line or self.line,
                 what=what, value=value)  # fmt: skip


def _after(part: str) -> str:
    """A catch kinks the cable; what else there is goes back to stock (common practice)."""
    return "spent" if PARTS[part]["role"] == "cable" else "freed"
