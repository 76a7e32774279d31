"""Two pick lists that want the same gear at once: first with the guard off, then with it on."""

from typing import Any
from uuid import UUID

import pytest

from tests.watch.test_races import first_waits_for_the_second, meeting, together
from tests.world import START, World, world_of
from trapline.ground.errors import NeedsReview
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.record import picking
from trapline.record.desk import submit
from trapline.standing.reserved import reserved_by

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def real_world(transactional_db: None) -> World:
    return world_of("north")


def wanting(world: World, name: str, device: UUID) -> Any:
    """A job: a list that sets this device aside."""
    wanted = [{"kind": world.kinds["snare"], "devices": 1}]
    body = {"pick": new_id(), "name": name, "wanted": wanted, "devices": [device]}
    return lambda: submit(world.manager, "pick_gear", body, at=START, now=START)


def keepers(world: World, device: UUID) -> list[str]:
    with team_scope(world.team):
        return sorted(one.name for one in reserved_by(world.team, devices=[device]))


def test_without_the_lock_two_lists_keep_one_device(
    real_world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    device = real_world.device("snare", "D1")
    monkeypatch.setattr(picking, "one_list_at_a_time", lambda desk: None)
    meeting(monkeypatch, picking, "_parts_free", 2)  # both have seen that the device is free
    together(*(wanting(real_world, name, device) for name in ("Creek", "Ridge")))
    assert keepers(real_world, device) == ["Creek", "Ridge"]


def test_of_two_lists_that_want_one_device_at_once_one_gets_it_and_the_other_is_told_which(
    real_world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    device = real_world.device("snare", "D1")
    first_waits_for_the_second(monkeypatch, picking, "_parts_free")
    results = together(*(wanting(real_world, name, device) for name in ("Creek", "Ridge")))
    (holder,) = keepers(real_world, device)
    (refused,) = [one for one in results if isinstance(one, NeedsReview)]
    assert refused.problem.code == "device_reserved"
    assert refused.problem.values["name"] == holder
