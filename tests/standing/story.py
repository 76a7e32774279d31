"""Stories for the fold: acts on two sets in whatever order they come in, drawn by hypothesis."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import UUID

from hypothesis import strategies as st

from tests.record.phone import HOUR, letter
from tests.world import START, World
from trapline.ground.ids import new_id
from trapline.record.desk import take

RECEIVED = START + 100 * HOUR
DEVICES = 3

VARIANTS = (
    "in order", "not reached", "from afar", "moved", "raised", "remade", "animal", "dragged off",
    "pulled",
)  # fmt: skip

hours = st.integers(1, 60)
sets = st.integers(0, 1)
variants = st.sampled_from(VARIANTS)
steps = st.one_of(
    st.tuples(st.just("check"), sets, hours, variants),
    st.tuples(st.just("check"), sets, hours, variants),
    st.tuples(st.just("correct"), st.integers(0, 30), variants),
    st.tuples(st.just("withdraw"), st.integers(0, 30)),
    st.tuples(st.just("hand over"), sets, hours, st.integers(0, 2)),
    st.tuples(st.just("pull"), sets, hours),
)
stories: st.SearchStrategy[list[tuple[Any, ...]]] = st.lists(steps, min_size=1, max_size=10)


@dataclass
class Season:
    """Two sets and what was said of them so far."""

    world: World
    sets: list[UUID]
    devices: list[UUID]
    checks: list[tuple[UUID, UUID]] = field(default_factory=list)  # check, its set
    applied: int = 0
    answers: tuple[str, ...] = ("applied", "needs_review")

    def play(self, story: list[tuple[Any, ...]]) -> None:
        """Each step as an act of the manager; one that cannot be applied is put aside."""
        for what, *said in story:
            getattr(self, "_" + what.replace(" ", "_"))(*said)

    def _check(self, which: int, hour: int, variant: str) -> None:
        body = self._body(self.sets[which], variant)
        if self._take("log_check", body, START + hour * HOUR):
            self.checks.append((body["check"], body["set"]))

    def _correct(self, number: int, variant: str) -> None:
        if not self.checks:
            return
        wrong, set_id = self.checks[number % len(self.checks)]
        body = self._body(set_id, variant)
        if self._take("correct_check", {"corrects": wrong, "check": body}, RECEIVED):
            self.checks.append((body["check"], set_id))

    def _withdraw(self, number: int) -> None:
        if self.checks:
            wrong, _ = self.checks[number % len(self.checks)]
            self._take("correct_check", {"corrects": wrong, "withdraw": True}, RECEIVED)

    def _hand_over(self, which: int, hour: int, to: int) -> None:
        world = self.world
        member = (world.manager, world.instructor, world.student)[to].member
        self._take("hand_over", {"set": self.sets[which], "to": member}, START + hour * HOUR)

    def _pull(self, which: int, hour: int) -> None:
        self._take("pull_set", {"set": self.sets[which]}, START + hour * HOUR)

    def _body(self, set_id: UUID, variant: str) -> dict[str, Any]:
        variants: dict[str, dict[str, Any]] = {
            "in order": {"done": ["left"]},
            "not reached": {"found": "not_reached", "reason": "storm"},
            "from afar": {"how_seen": "camera"},
            "moved": {
                "done": ["moved"],
                "moved_to": {"place": (-128.39, 61.91), "placement": "under_ice"},
            },
            "raised": {"done": ["raised"], "raised_to": {"loop_height_m": 0.3}},
            "remade": {
                "done": ["remade"], "new_device": self.devices[len(self.checks) % DEVICES],
            },
            "animal": {"found": "animal", "catches": [self._animal()]},
            "dragged off": {"found": "gone", "gone_how": "dragged_off"},
            "pulled": {"done": ["pulled"]},
        }  # fmt: skip
        return {"check": new_id(), "set": set_id, "found": "in_order", **variants[variant]}

    def _animal(self) -> dict[str, Any]:
        return {
            "animal": new_id(), "species": self.world.species["marten"],
            "alive_on_arrival": False, "fate": "found_dead",
        }  # fmt: skip

    def _take(self, kind: str, body: dict[str, Any], at: datetime) -> bool:
        raw = letter(self.world, kind, body, at)
        outcome = take(self.world.manager, raw, received_at=RECEIVED)
        assert outcome.state in self.answers, outcome
        self.applied += outcome.state == "applied"
        return outcome.state == "applied"
