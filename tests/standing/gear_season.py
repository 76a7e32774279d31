"""Seasons of gear: the fold's stories with parts replaced, broken, put away and put back."""

from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from hypothesis import strategies as st

from tests.record.phone import HOUR
from tests.standing.story import DEVICES, RECEIVED, Season, hours, sets, variants
from tests.world import START, World
from trapline.gear.models import Part
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.standing.models import PartStay

states = st.sampled_from(["stock", "inspect", "broken", "retired", "lost"])
steps = st.one_of(
    st.tuples(st.just("check"), sets, hours, variants),
    st.tuples(st.just("check"), sets, hours, st.sampled_from(["animal", "sprung", "wet"])),
    st.tuples(st.just("check"), sets, hours, st.sampled_from(["animal", "sprung", "remade"])),
    st.tuples(st.just("correct"), st.integers(0, 30), variants),
    st.tuples(st.just("withdraw"), st.integers(0, 30)),
    st.tuples(
        st.just("replace"), st.integers(0, 30), hours, st.sampled_from(["broken", "inspect"])
    ),
    st.tuples(
        st.just("put"), st.integers(0, 30), hours, states, st.sampled_from(["worn", "other"])
    ),
    st.tuples(st.just("strip"), st.integers(0, 4), hours),
    st.tuples(st.just("rebuild"), st.integers(0, 4), hours),
    st.tuples(st.just("pull"), sets, hours),
)
stories: st.SearchStrategy[list[tuple[Any, ...]]] = st.lists(steps, min_size=3, max_size=14)


@dataclass
class GearSeason(Season):
    """Two sets, three more devices, and whatever happens to their parts."""

    all_devices: list[UUID] = field(default_factory=list)
    # A part that is put away at an hour before it was made: the act waits for it.
    answers: tuple[str, ...] = ("applied", "needs_review", "held")

    def _replace(self, number: int, hour: int, becomes: str) -> None:
        stays = self._stays(state="built_in")
        if not stays:
            return
        part, device, kind = stays[number % len(stays)]
        body = {"device": device, "out": part, "becomes": becomes, "part": {"kind": kind}}
        self._take("replace_part", body, START + hour * HOUR)

    def _put(self, number: int, hour: int, state: str, why: str) -> None:
        stays = self._stays()
        part = stays[number % len(stays)][0]
        said = {"parts": [part], "state": state, "why": why}
        self._take("put_parts", said, START + hour * HOUR)

    def _strip(self, number: int, hour: int) -> None:
        body = {"device": self.all_devices[number % len(self.all_devices)]}
        self._take("strip_device", body, START + hour * HOUR)

    def _rebuild(self, number: int, hour: int) -> None:
        """The part that has lain in stock longest goes into a device, if it has room."""
        loose = self._stays(state__in=("stock", "inspect"))
        if loose:
            part, _device, kind = loose[number % len(loose)]
            number %= len(self.all_devices)
            body = {
                "device": self.all_devices[number], "kind": self.world.kinds["snare"],
                "mark": self.marks[number], "parts": [{"part": part, "kind": kind}],
            }  # fmt: skip
            self._take("build_device", body, START + hour * HOUR)

    def _stays(self, **wanted: Any) -> list[tuple[UUID, UUID, UUID]]:
        with team_scope(self.world.team):
            rows = PartStay.objects.filter(during__upper_inf=True, **wanted).order_by("part_id")
            return list(rows.values_list("part_id", "device_id", "part__kind_id"))

    @property
    def marks(self) -> list[str]:
        return [f"spare {number}" for number in range(DEVICES)]

    def _body(self, set_id: UUID, variant: str) -> dict[str, Any]:
        if variant == "sprung":
            return {"check": new_id(), "set": set_id, "found": "sprung_empty", "sign": "misfire"}
        if variant == "wet":
            return {
                "check": new_id(), "set": set_id, "found": "in_order",
                "placement_seen": "submersion",
            }  # fmt: skip
        return super()._body(set_id, variant)


def gear_season(world: World, story: list[tuple[Any, ...]]) -> GearSeason:
    """A snare and a body-gripping trap set, three more snares in store; the story played."""
    devices = [world.device("snare", f"spare {number}") for number in range(DEVICES)]
    season = GearSeason(
        world, [world.set("S1"), world.set("S2", "body")], devices, all_devices=devices
    )
    season.play(story)
    return season


def all_parts() -> list[UUID]:
    return list(Part.objects.order_by("id").values_list("id", flat=True))


MOMENT = RECEIVED
