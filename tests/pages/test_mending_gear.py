"""Devices taken apart, parts replaced, tags put on: by pages."""

from typing import Any
from uuid import UUID

from django.test import Client

from tests.world import World
from trapline.gear.models import Tagging
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.standing.models import PartStay
from trapline.standing.selectors import parts_of


def inside(world: World, device: UUID) -> dict[str, UUID]:
    with team_scope(world.team):
        return {one.role: one.id for one in parts_of(world.team, [device])}


def said(browser: Client, address: str, **more: Any) -> dict[str, Any]:
    """What the page's form begins with, and more."""
    form = browser.get(address).context["form"]
    first = {name: form[name].value() for name in form.fields if form[name].value() is not None}
    return {**first, **more}


def test_a_device_is_taken_apart_on_its_page(world: World, manager: Client) -> None:
    device = world.device("snare", "D1")
    address = f"/t/north/gear/devices/{device}/strip/"
    form = said(manager, address)
    for _twice in range(2):
        assert manager.post(address, form).status_code == 302
    assert inside(world, device) == {}
    again = manager.post(address, {**form, "act": new_id()})
    assert again.status_code == 422
    assert "There is no part in this device." in again.content.decode()


def test_a_part_is_replaced_by_a_new_one_or_one_from_stock(world: World, manager: Client) -> None:
    world.set("S1")
    with team_scope(world.team):
        device = PartStay.objects.filter(device__mark="S1-device")[0].device_id
    address = f"/t/north/gear/devices/{device}/replace/"
    lock, cable = inside(world, device)["lock"], inside(world, device)["cable"]
    kind = world.part_kinds["lock"]
    none = manager.post(address, said(manager, address, out=lock, put_in=f"stock:{kind}"))
    assert "None of this kind lies in stock." in none.content.decode()
    wrong = manager.post(address, said(manager, address, out=cable, put_in=f"new:{kind}"))
    assert "What goes in must be what comes out" in wrong.content.decode()
    right = said(manager, address, out=lock, put_in=f"new:{kind}", becomes="inspect")
    for _twice in range(2):
        assert manager.post(address, right).status_code == 302
    after = inside(world, device)
    assert after["lock"] != lock
    assert after["cable"] == cable


def test_a_tag_goes_on_and_comes_off(world: World, manager: Client) -> None:
    device = world.device("snare", "D1")
    part = inside(world, device)["swivel"]
    for address in (f"/t/north/gear/devices/{device}/tag/", f"/t/north/gear/parts/{part}/tag/"):
        for tag in ("T-1", ""):
            assert manager.post(address, said(manager, address, tag=tag)).status_code == 302
    with team_scope(world.team):
        assert list(Tagging.objects.order_by("id").values_list("tag", flat=True)) == [
            "T-1", "", "T-1", "",
        ]  # fmt: skip
