"""Duties to buy more: opened and closed by what lies in stock, and by the least that is wanted."""

from datetime import timedelta
from typing import Any

import pytest

from tests.pages.cast import client_of
from tests.record.acting import do
from tests.record.phone import AT, HOUR
from tests.world import START, World
from trapline.duties.models import Duty, Notice, Stage
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.watch.sweep import sweep


def wants(world: World, role: str, fewest: int | None, at: Any = START) -> None:
    body = {"kind": world.part_kinds[role], "role": role, "name": f"{role} kept", "fewest": fewest}
    do(world.manager, "name_part_kind", body, at=at)


def bought(world: World, role: str, count: int, at: Any = START) -> list[Any]:
    parts = [{"part": new_id()} for _ in range(count)]
    do(world.manager, "stock_parts", {"kind": world.part_kinds[role], "parts": parts}, at=at)
    return [one["part"] for one in parts]


def duties(world: World) -> list[str]:
    with team_scope(world.team):
        found = Duty.objects.filter(kind="stock").order_by("basis_at", "id")
        return list(found.values_list("state", flat=True))


def test_a_kind_below_its_least_is_to_be_bought_until_enough_lies_in_stock(world: World) -> None:
    wants(world, "lock", 2)
    assert duties(world) == ["open"]
    bought(world, "lock", 1, at=AT)
    assert duties(world) == ["open"]
    bought(world, "lock", 1, at=AT + HOUR)
    assert duties(world) == ["done"]


def test_no_part_of_a_kind_below_its_least_is_told_twice(world: World) -> None:
    wants(world, "lock", 3)
    bought(world, "lock", 1, at=AT)
    wants(world, "lock", 4, at=AT)
    assert duties(world) == ["open"]


def test_a_catch_that_takes_the_last_but_one_asks_again(world: World) -> None:
    """A cable goes from stock into a set's device, whose own a catch has spent."""
    wants(world, "cable", 2)
    spare = bought(world, "cable", 2)
    assert duties(world) == ["done"]
    device = world.device("snare", "D1")
    with team_scope(world.team):
        from trapline.standing.models import PartStay

        out = PartStay.objects.get(device_id=device, part__kind_id=world.part_kinds["cable"])
    put = {"device": device, "out": out.part_id, "becomes": "spent",
           "part": {"part": spare[0], "kind": world.part_kinds["cable"]}}  # fmt: skip
    do(world.manager, "replace_part", put, at=AT)
    assert duties(world) == ["done", "open"]


@pytest.mark.parametrize("fewest", [None, 0])
def test_a_least_that_is_taken_back_takes_the_duty_back(world: World, fewest: int | None) -> None:
    wants(world, "lock", 2)
    wants(world, "lock", fewest, at=AT)
    assert duties(world) == ["cancelled"]


def test_managers_are_told_and_see_it_today_and_members_do_not(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    with team_scope(world.team):
        Stage.objects.create(
            team_id=world.team, kind="stock", number=1, offset_s=-14 * 86400, recipient="managers"
        )
    wants(world, "lock", 2)
    monkeypatch.setattr("trapline.ground.clock.machine", lambda: START + timedelta(minutes=1))
    shown = client_of(world.manager).get("/t/north/").content.decode()
    assert "lock kept" in shown
    assert f"/t/north/gear/stock/?kind={world.part_kinds['lock']}" in shown
    assert "lock kept" not in client_of(world.student).get("/t/north/").content.decode()
    sweep(START + timedelta(minutes=1))
    with team_scope(world.team):
        assert [one.to_id for one in Notice.objects.all()] == [world.manager.member]


def test_the_least_is_set_on_the_kinds_page(world: World, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("trapline.ground.clock.machine", lambda: AT)
    browser = client_of(world.manager)
    address = f"/t/north/gear/part-kinds/{world.part_kinds['lock']}/change/"
    form = browser.get(address).context["form"]
    said = {name: form[name].value() for name in form.fields if form[name].value() is not None}
    assert browser.post(address, {**said, "fewest": "-1"}).status_code == 422
    assert browser.post(address, {**said, "fewest": "5"}).status_code == 302
    assert duties(world) == ["open"]
    assert "at least 5 in stock" in browser.get(address.replace("change/", "")).content.decode()
