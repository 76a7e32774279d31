"""Pick lists: gear that is set aside for one load, and when it is free again."""

from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest
from django.db import IntegrityError, transaction

from tests.record.acting import do, refusal
from tests.record.phone import AT, HOUR, check
from tests.world import PLACE, START, World
from trapline.gear.models import Picked
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.plans.carrying import Work, offered
from trapline.plans.picking import Choice, Want, choose, fill
from trapline.standing.reserved import access_pick, picked, reserved_by
from trapline.standing.selectors import fit_parts, free_devices, ready_devices


def listed(world: World, *devices: UUID, **said: Any) -> dict[str, Any]:
    """The body of a list of snares."""
    wanted = [{"kind": world.kinds["snare"], "devices": max(len(devices), 1)}]
    return {"pick": new_id(), "name": "Creek", "wanted": wanted, "devices": devices, **said}


def kept(world: World, *devices: UUID) -> list[str]:
    with team_scope(world.team):
        return [one.mark for one in reserved_by(world.team, devices=devices)]


def in_stock(world: World, role: str, count: int) -> list[UUID]:
    parts = [new_id() for _ in range(count)]
    body = {"kind": world.part_kinds[role], "parts": [{"part": p} for p in parts], "place": "shelf"}
    do(world.manager, "stock_parts", body)
    return parts


def test_what_is_set_aside_is_offered_to_no_second_plan(world: World) -> None:
    one, two = world.device("snare", "D1"), world.device("snare", "D2")
    do(world.manager, "pick_gear", listed(world, one))
    with team_scope(world.team):
        assert ready_devices(world.team, world.kinds["snare"]) == [two]
        choice = choose(world.team, [Want(world.kinds["snare"], 2)])
        assert [device.mark for device in choice.devices] == ["D2"]
        assert [(lack.kind, lack.count) for lack in choice.lacking] == [("snare", 1)]
        kinds = offered(world.team, world.species["marten"], Work())
        assert {kind.name: kind.free for kind in kinds} == {"snare": 1, "body": 0}
        said = {device.mark: device.reserved for device in free_devices(world.team)}
        assert said == {"D1": "Creek", "D2": ""}  # placing names the list


def test_a_device_in_two_plans_is_refused(world: World) -> None:
    device = world.device("snare", "D1")
    do(world.manager, "pick_gear", listed(world, device))
    assert refusal(world.manager, "pick_gear", listed(world, device)) == (
        "devices", "device_reserved",
    )  # fmt: skip


def test_a_device_that_stands_in_a_set_is_not_set_aside(world: World) -> None:
    device, idle = new_id(), world.device("snare", "D1")
    world.set("S1")
    with team_scope(world.team):
        device = next(iter(world_devices(world, "S1-device")))
    assert refusal(world.manager, "pick_gear", listed(world, idle, device)) == (
        "devices", "device_in_use",
    )  # fmt: skip
    assert kept(world, idle) == []  # nothing half-applied


def world_devices(world: World, mark: str) -> list[UUID]:
    from trapline.gear.models import Device

    return list(Device.objects.filter(mark=mark).values_list("id", flat=True))


@pytest.mark.parametrize("how", ["lent", "lost", "retired"])
def test_a_device_that_is_not_in_store_is_not_set_aside(world: World, how: str) -> None:
    device = world.device("snare", "D1")
    member = world.student.member if how == "lent" else None
    do(world.manager, "keep_device", {"device": device, "how": how, "member": member})
    assert refusal(world.manager, "pick_gear", listed(world, device)) == (
        "devices", "device_not_in_store",
    )  # fmt: skip


def test_dropping_the_list_frees_its_gear(world: World) -> None:
    device = world.device("snare", "D1")
    body = listed(world, device)
    do(world.manager, "pick_gear", body)
    assert kept(world, device) == ["D1"]
    do(world.manager, "drop_pick", {"pick": body["pick"], "note": "Thaw."}, at=AT)
    assert kept(world, device) == []
    assert refusal(world.manager, "drop_pick", {"pick": body["pick"]}, AT) == (
        "pick", "pick_dropped",
    )  # fmt: skip
    do(world.manager, "pick_gear", listed(world, device), at=AT)


def placed(world: World, device: UUID) -> UUID:
    made = new_id()
    body = {
        "set": made, "line": world.line, "label": "P-1", "licence": world.licence, "place": PLACE,
        "placement": "land", "device": device, "responsible": world.student.member,
    }  # fmt: skip
    do(world.instructor, "place_set", body, at=AT)
    return made


def test_placing_a_device_frees_it_from_its_list_for_good(world: World) -> None:
    device = world.device("snare", "D1")
    body = listed(world, device)
    do(world.manager, "pick_gear", body)
    set_id = placed(world, device)
    assert kept(world, device) == []
    do(world.student, "pull_set", {"set": set_id}, at=AT + HOUR)
    assert kept(world, device) == []  # back in store, it is anybody's
    with team_scope(world.team):
        things, wanted = picked(world.team, body["pick"])
        assert [(one.mark, one.kept) for one in things] == [("D1", False)]
        assert [(one.devices, one.found) for one in wanted] == [(1, 1)]


def test_a_device_that_was_remade_into_a_set_by_a_check_that_is_withdrawn_is_kept_again(
    world: World,
) -> None:
    device, set_id = world.device("snare", "D1"), world.set("S1")
    do(world.manager, "pick_gear", listed(world, device))
    said = check(set_id, found="damaged", done=["remade"], new_device=device)
    do(world.student, "log_check", said, at=AT)
    assert kept(world, device) == []
    do(world.student, "correct_check", {"corrects": said["check"], "withdraw": True}, at=AT + HOUR)
    assert kept(world, device) == ["D1"]


def test_spare_kits_keep_loose_parts_of_the_kind_that_stands_in_such_devices(
    world: World,
) -> None:
    world.device("snare", "D1")
    cables = in_stock(world, "cable", 3)
    with team_scope(world.team):
        choice = choose(world.team, [Want(world.kinds["snare"], 1, 2)])
    assert [one.id for one in choice.parts] == cables[:2]
    body = listed(world, parts=cables[:2])
    do(world.manager, "pick_gear", body)
    assert refusal(world.manager, "pick_gear", listed(world, parts=cables[:1])) == (
        "parts", "part_reserved",
    )  # fmt: skip
    with team_scope(world.team):
        assert fit_parts(world.team, world.part_kinds["cable"], 5) == cables[2:]
        short = choose(world.team, [Want(world.kinds["snare"], 1, 2)])
        assert [(one.role, one.count) for one in short.lacking] == [("cable", 1)]
    do(world.manager, "put_parts", {"parts": cables[:1], "state": "broken"}, at=AT)
    with team_scope(world.team):
        assert access_pick(world.team, body["pick"], None).kept == 1


def asked(world: World, *devices: UUID, of: int, kits: int = 0, **said: Any) -> dict[str, Any]:
    """A list of snares that wants so many, whatever it found."""
    wanted = [{"kind": world.kinds["snare"], "devices": of, "spare_kits": kits}]
    return listed(world, *devices, wanted=wanted, **said)


def filling(world: World, pick: UUID) -> Choice:
    with team_scope(world.team):
        return fill(world.team, pick)


def taking(pick: UUID, choice: Choice) -> dict[str, Any]:
    devices, parts = [[one.id for one in some] for some in (choice.devices, choice.parts)]
    return {"pick": pick, "devices": devices, "parts": parts}


def test_a_list_is_filled_with_what_came_in_for_what_was_lost_or_spent(world: World) -> None:
    one, two = world.device("snare", "D1"), world.device("snare", "D2")
    cables = in_stock(world, "cable", 2)
    body = asked(world, one, two, of=3, kits=2, parts=cables)
    do(world.manager, "pick_gear", body)
    assert [(lack.kind, lack.count) for lack in filling(world, body["pick"]).lacking] == [
        ("snare", 1)
    ]
    do(world.manager, "keep_device", {"device": one, "how": "lost"}, at=AT)
    do(world.manager, "put_parts", {"parts": cables[:1], "state": "broken"}, at=AT)
    placed(world, two)  # what stands did what it was set aside for
    world.device("snare", "D3")
    fresh = in_stock(world, "cable", 3)
    choice = filling(world, body["pick"])
    assert [device.mark for device in choice.devices] == ["D3"]
    assert [part.id for part in choice.parts] == fresh[:1]
    assert [(lack.kind, lack.role, lack.count) for lack in choice.lacking] == [("snare", "", 1)]
    do(world.manager, "fill_pick", taking(body["pick"], choice), at=AT)
    with team_scope(world.team):
        assert access_pick(world.team, body["pick"], None).kept == 3
    again = filling(world, body["pick"])
    assert (again.devices, again.parts) == ([], [])


def test_what_a_list_is_not_filled_with(world: World) -> None:
    one, two, three = (world.device("snare", f"D{number}") for number in range(3))
    trap, cable = world.device("body", "B1"), in_stock(world, "cable", 1)
    body = asked(world, one, of=2)
    do(world.manager, "pick_gear", body)
    for said, why in (
        ({}, ("pick", "nothing_picked")),
        ({"devices": [one]}, ("devices", "device_reserved")),
        ({"devices": [two, three]}, ("devices", "pick_not_short")),
        ({"devices": [trap]}, ("devices", "pick_not_short")),
        ({"parts": cable}, ("parts", "pick_not_short")),
        ({"pick": new_id(), "devices": [two]}, ("pick", "waits_for")),
    ):
        assert refusal(world.manager, "fill_pick", {"pick": body["pick"], **said}, AT) == why
    found_again = {"device": one, "how": "store"}
    do(world.manager, "keep_device", {"device": one, "how": "lost"}, at=AT)
    do(world.manager, "keep_device", found_again, at=AT + HOUR)
    said = {"pick": body["pick"], "devices": [one]}
    assert refusal(world.manager, "fill_pick", said, AT + HOUR) == ("devices", "picked_before")
    assert refusal(world.student, "fill_pick", said, AT) == ("pick", "only_leaders")
    assert [device.mark for device in filling(world, body["pick"]).devices] == ["D1", "D2"]
    do(world.manager, "drop_pick", {"pick": body["pick"]}, at=AT + HOUR)
    said = {"pick": body["pick"], "devices": [two]}
    assert refusal(world.manager, "fill_pick", said, AT + HOUR) == ("pick", "pick_done_with")


def test_a_device_that_lacks_a_part_is_not_ready(world: World) -> None:
    device = world.device("snare", "D1")
    do(world.manager, "strip_device", {"device": device}, at=START + timedelta(minutes=1))
    with team_scope(world.team):
        assert ready_devices(world.team, world.kinds["snare"]) == []


def test_what_is_set_aside_is_not_taken_apart(world: World) -> None:
    device = world.device("snare", "D1")
    do(world.manager, "pick_gear", listed(world, device))
    assert refusal(world.manager, "strip_device", {"device": device}, AT) == (
        "device", "device_reserved",
    )  # fmt: skip


def test_what_cannot_be_on_a_list(world: World, other_world: World) -> None:
    device, theirs = world.device("snare", "D1"), other_world.device("snare", "D1")
    for body, why in (
        (listed(world, device, device), ("devices", "picked_twice")),
        (listed(world, theirs), ("devices", "waits_for")),
        (listed(world, carrier=other_world.student.member), ("carrier", "waits_for")),
        (listed(world, wanted=[{"kind": other_world.kinds["snare"], "devices": 1}]),
         ("wanted", "waits_for")),
        (listed(world, wanted=[]), ("body.wanted", "shape_too_short")),
        (listed(world, parts=[new_id()]), ("parts", "waits_for")),
    ):  # fmt: skip
        assert refusal(world.manager, "pick_gear", body) == why
    assert refusal(world.student, "pick_gear", listed(world, device)) == ("pick", "only_leaders")


def test_the_database_keeps_a_thing_once_on_a_list(world: World) -> None:
    device = world.device("snare", "D1")
    do(world.manager, "pick_gear", listed(world, device))
    with team_scope(world.team):
        row = Picked.objects.get()
        row.pk = new_id()
        with pytest.raises(IntegrityError), transaction.atomic():
            row.save(force_insert=True)
