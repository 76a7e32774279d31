"""Parts and devices through their acts: bought, built in, replaced, lent, lost, put away."""

from typing import Any
from uuid import UUID

import pytest

from tests.record.acting import do, refusal
from tests.record.phone import AT, HOUR, check
from tests.world import START, World
from trapline.gear.models import DeviceFact, Part, Tagging
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.standing.models import PartStay
from trapline.standing.selectors import free_devices, stock


def now_of(world: World) -> dict[UUID, tuple[str, str, UUID | None]]:
    with team_scope(world.team):
        rows = PartStay.objects.filter(during__upper_inf=True).select_related("part__kind")
        return {row.part_id: (row.part.kind.role, row.state, row.device_id) for row in rows}


def one(world: World, role: str, state: str = "built_in") -> UUID:
    return next(part for part, (r, s, _) in now_of(world).items() if (r, s) == (role, state))


def bought(world: World, role: str, **said: Any) -> dict[str, Any]:
    return {"kind": world.part_kinds[role], "parts": [{}], **said}


def in_stock(world: World, role: str) -> UUID:
    body = bought(world, role, parts=[{"part": new_id()}])
    do(world.manager, "stock_parts", body)
    found: UUID = body["parts"][0]["part"]
    return found


def swap(world: World, device: UUID, role: str, **said: Any) -> dict[str, Any]:
    return {
        "device": device, "out": one(world, role), "part": {"kind": world.part_kinds[role]}, **said,
    }  # fmt: skip


def test_parts_come_into_stock_at_a_place(world: World) -> None:
    do(world.manager, "stock_parts", bought(world, "lock", parts=[{"mark": "L1"}, {}], place="A3"))
    with team_scope(world.team):
        rows = {row.state: row.count for row in stock(world.team) if row.role == "lock"}
        assert rows == {"stock": 2}
        assert set(Part.objects.values_list("mark", flat=True)) == {"L1", ""}


def test_a_part_comes_into_stock_once(world: World) -> None:
    body = bought(world, "lock", parts=[{"part": new_id()}])
    do(world.manager, "stock_parts", body)
    assert refusal(world.manager, "stock_parts", body) == ("parts", "part_twice")
    twice = bought(world, "lock", parts=[{"part": (key := new_id())}, {"part": key}])
    assert refusal(world.manager, "stock_parts", twice) == ("parts", "part_twice")


def test_parts_of_another_teams_kind_wait(world: World, other_world: World) -> None:
    body = {"kind": other_world.part_kinds["lock"], "parts": [{}]}
    assert refusal(world.manager, "stock_parts", body) == ("kind", "waits_for")


def test_a_part_that_broke_is_counted_as_broken_and_may_be_mended(world: World) -> None:
    part = in_stock(world, "lock")
    do(world.manager, "put_parts", {"parts": [part], "state": "broken"}, at=AT)
    assert now_of(world)[part][1] == "broken"
    mended = {"parts": [part], "state": "stock", "why": "mended", "place": "bench"}
    do(world.manager, "put_parts", mended, at=AT + HOUR)
    assert now_of(world)[part][1] == "stock"


def test_a_part_put_away_says_why(world: World) -> None:
    part = in_stock(world, "lock")
    body = {"parts": [part], "state": "retired"}
    assert refusal(world.manager, "put_parts", body, AT) == ("why", "retired_says_why")
    do(world.manager, "put_parts", {**body, "why": "worn"}, at=AT)


def test_a_part_that_is_not_there_waits(world: World, other_world: World) -> None:
    theirs = in_stock(other_world, "lock")
    for part in (new_id(), theirs):
        body = {"parts": [part], "state": "broken"}
        assert refusal(world.manager, "put_parts", body, AT) == ("parts", "waits_for")


def test_a_part_that_comes_into_the_record_later_waits(world: World) -> None:
    part = new_id()
    body = {"kind": world.part_kinds["lock"], "parts": [{"part": part}]}
    do(world.manager, "stock_parts", body, at=AT + HOUR)
    away = {"parts": [part], "state": "broken"}
    assert refusal(world.manager, "put_parts", away, AT) == ("parts", "waits_for")
    do(world.manager, "put_parts", away, at=AT + HOUR)


def test_a_part_of_a_standing_device_is_replaced_not_put_away(world: World) -> None:
    set_id = world.set("B1", "body")
    body = {"parts": [one(world, "trigger")], "state": "broken"}
    assert refusal(world.manager, "put_parts", body, AT) == ("parts", "device_in_use")
    do(world.student, "pull_set", {"set": set_id}, at=AT)
    do(world.manager, "put_parts", body, at=AT + HOUR)


def test_nothing_is_half_put_away(world: World) -> None:
    part = in_stock(world, "lock")
    body = {"parts": [part, new_id()], "state": "broken"}
    assert refusal(world.manager, "put_parts", body, AT) == ("parts", "waits_for")
    assert now_of(world)[part][1] == "stock"


def test_a_stripped_device_gives_its_parts_back_for_inspection(world: World) -> None:
    device = world.device("snare", "D1")
    do(world.manager, "strip_device", {"device": device}, at=AT)
    assert {state for _, state, _ in now_of(world).values()} == {"inspect"}
    again = {"device": device}
    assert refusal(world.manager, "strip_device", again, AT + HOUR) == (
        "device", "nothing_in_device",
    )  # fmt: skip


def test_a_device_that_stands_is_not_stripped(world: World) -> None:
    world.set("S1")
    with team_scope(world.team):
        device = PartStay.objects.filter(state="built_in").values_list("device", flat=True)[0]
    body = {"device": device}
    assert refusal(world.manager, "strip_device", body, AT) == ("device", "device_in_use")


def test_a_part_is_replaced_by_one_from_stock_in_one_act(world: World) -> None:
    device, spare = world.device("body", "D1"), in_stock(world, "trigger")
    old = one(world, "trigger")
    body = swap(world, device, "trigger")
    body["part"]["part"] = spare
    do(world.manager, "replace_part", body, at=AT)
    assert now_of(world)[old][1:] == ("broken", None)
    assert now_of(world)[spare][1:] == ("built_in", device)


def test_a_student_replaces_parts_of_their_own_sets_only(world: World) -> None:
    world.set("B1", "body")
    with team_scope(world.team):
        device = PartStay.objects.filter(state="built_in").values_list("device", flat=True)[0]
    do(world.student, "replace_part", swap(world, device, "spring"), at=AT)
    other = world.device("snare", "D2")
    body = swap(world, other, "cable")
    assert refusal(world.student, "replace_part", body, AT) == ("device", "only_leaders")


def test_what_goes_in_is_what_comes_out(world: World) -> None:
    device = world.device("body", "D1")
    body = swap(world, device, "trigger", part={"kind": world.part_kinds["spring"]})
    assert refusal(world.manager, "replace_part", body, AT) == ("part", "role_differs")


def test_what_is_in_another_device_is_not_replaced_in_this_one(world: World) -> None:
    device = world.device("body", "D1")
    body = swap(world, device, "trigger", out=new_id())
    assert refusal(world.manager, "replace_part", body, AT) == ("out", "part_not_in_device")


@pytest.mark.parametrize(
    ("roles", "code"),
    [(["trigger"], "role_not_in_kind"), (["cable", "cable"], "role_too_many")],
)
def test_an_impossible_assembly_is_refused(world: World, roles: list[str], code: str) -> None:
    body = {
        "device": new_id(), "kind": world.kinds["snare"], "mark": "D1",
        "parts": [{"kind": world.part_kinds[role]} for role in roles],
    }  # fmt: skip
    assert refusal(world.manager, "build_device", body) == ("parts", code)
    assert now_of(world) == {}


def test_a_full_device_takes_no_more(world: World) -> None:
    device = world.device("snare", "D1")
    body = {
        "device": device, "kind": world.kinds["snare"], "mark": "D1",
        "parts": [{"kind": world.part_kinds["lock"]}],
    }  # fmt: skip
    assert refusal(world.manager, "build_device", body, AT) == ("parts", "role_too_many")


def test_one_part_named_twice_is_refused(world: World) -> None:
    part = in_stock(world, "lock")
    twice = [{"part": part, "kind": world.part_kinds["lock"]}] * 2
    body = {"device": new_id(), "kind": world.kinds["snare"], "mark": "D1", "parts": twice}
    assert refusal(world.manager, "build_device", body, AT) == ("parts", "part_twice")


def test_a_device_is_lent_and_comes_back(world: World) -> None:
    device = world.device("snare", "D1")
    lent = {"device": device, "how": "lent", "member": world.student.member}
    do(world.manager, "keep_device", lent, at=AT)
    do(world.manager, "keep_device", {"device": device, "how": "store", "place": "shed"}, at=AT)
    with team_scope(world.team):
        assert list(DeviceFact.objects.order_by("at", "id").values_list("how", "place")) == [
            ("lent", ""), ("store", "shed"),
        ]  # fmt: skip


@pytest.mark.parametrize("how", ["lent", "store"])
def test_a_loan_names_whom_and_nothing_else_does(world: World, how: str) -> None:
    device = world.device("snare", "D1")
    member = None if how == "lent" else world.student.member
    body = {"device": device, "how": how, "member": member}
    assert refusal(world.manager, "keep_device", body, AT) == ("member", "lent_to_whom")


@pytest.mark.parametrize("how", ["lost", "retired"])
def test_a_device_that_is_gone_is_not_set(world: World, how: str) -> None:
    device = world.device("snare", "D1")
    do(world.manager, "keep_device", {"device": device, "how": how}, at=AT)
    with team_scope(world.team):
        assert free_devices(world.team) == []
        assert {row.state for row in stock(world.team) if row.count} == {how}
    placing = {
        "set": new_id(), "line": world.line, "label": "S9", "licence": world.licence,
        "place": (-128.4, 61.9), "placement": "land", "device": device,
    }  # fmt: skip
    assert refusal(world.manager, "place_set", placing, AT + HOUR) == ("device", "device_gone")
    do(world.manager, "keep_device", {"device": device, "how": "store"}, at=AT + HOUR)
    do(world.manager, "place_set", placing, at=AT + HOUR)


def test_a_device_that_stands_is_not_written_off(world: World) -> None:
    world.set("S1")
    with team_scope(world.team):
        device = PartStay.objects.filter(state="built_in").values_list("device", flat=True)[0]
    body = {"device": device, "how": "retired"}
    assert refusal(world.manager, "keep_device", body, AT) == ("device", "device_in_use")


def test_a_set_closed_as_lost_takes_its_device_along(world: World) -> None:
    set_id = world.set("S1")
    do(world.student, "log_check", check(set_id, found="gone", gone_how="not_found", done=[]))
    do(world.manager, "close_as_lost", {"set": set_id}, at=AT + HOUR)
    with team_scope(world.team):
        assert [fact.how for fact in DeviceFact.objects.all()] == ["lost"]
        assert free_devices(world.team) == []


def test_a_tag_goes_on_one_thing_and_comes_off_again(world: World) -> None:
    device, part = world.device("snare", "D1"), in_stock(world, "lock")
    do(world.manager, "tag_gear", {"device": device, "tag": "T-114"}, at=AT)
    do(world.manager, "tag_gear", {"part": part, "tag": "x7"}, at=AT)
    do(world.manager, "tag_gear", {"device": device, "tag": ""}, at=AT + HOUR)
    both = {"device": device, "part": part, "tag": "z"}
    assert refusal(world.manager, "tag_gear", both, AT) == ("device", "tag_of_one_thing")
    missing = {"part": new_id(), "tag": "z"}
    assert refusal(world.manager, "tag_gear", missing, AT) == ("part", "waits_for")
    with team_scope(world.team):
        assert [row.tag for row in Tagging.objects.order_by("at", "id")] == ["T-114", "x7", ""]


@pytest.mark.parametrize(
    ("kind", "field"),
    [
        ("stock_parts", "kind"),
        ("put_parts", "parts"),
        ("strip_device", "device"),
        ("keep_device", "device"),
        ("tag_gear", "tag"),
    ],
)
def test_gear_is_kept_by_who_leads(world: World, kind: str, field: str) -> None:
    device, part = world.device("snare", "D1"), in_stock(world, "lock")
    bodies: dict[str, dict[str, Any]] = {
        "stock_parts": bought(world, "lock"),
        "put_parts": {"parts": [part], "state": "broken"},
        "strip_device": {"device": device},
        "keep_device": {"device": device, "how": "store"},
        "tag_gear": {"device": device, "tag": "1"},
    }
    assert refusal(world.student, kind, bodies[kind], AT) == (field, "only_leaders")
    do(world.manager, kind, bodies[kind], at=AT)


def test_a_catch_leaves_the_place_of_a_part_unsaid(world: World) -> None:
    # caught.sql writes part facts too; the column that came later has a default of its own.
    set_id = world.set("S1")
    animal = {
        "animal": new_id(), "species": world.species["marten"], "alive_on_arrival": False,
        "fate": "found_dead",
    }  # fmt: skip
    world.check(world.student, set_id, START + HOUR, found="animal", catches=[animal])
    assert sorted(state for _, state, _ in now_of(world).values()) == [
        "inspect",
        "inspect",
        "spent",
    ]
