"""Gear from a CSV file and back: all of it or none, and the same again when read again."""

from collections import Counter
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.record.acting import do
from tests.record.phone import AT
from tests.world import World
from trapline.gear.formats.columns import COLUMNS
from trapline.gear.models import Device, Part, PartKind
from trapline.ground.errors import Refused
from trapline.ground.scope import team_scope
from trapline.ground.tables import cell, plain, read_table
from trapline.journal.models import Act
from trapline.record.import_gear import DryRun, dry_run, planned_acts, take_in
from trapline.standing.inventory import gear_csv, inventory

NEW = """what,name,role,mark,kind,state,place,device,count,price,fewest,tag,built_of,\
device_class,action
part_kind,Stake 60 cm,stake,,,,,,,3.00,4,,,,
device_kind,Pin,,,,,,,,,,,stake 2 stays; cable spent optional,snare,holding
device,,,P-1,Pin,,shed,,,,,T-9,,,
part,,,,Stake 60 cm,,,P-1,2,,,,,,
part,,,,Stake 60 cm,,bench,,3,,,,,,
part,,,ST-7,Stake 60 cm,inspect,bench,,,,,,,,
"""


def run(world: World, text: str) -> DryRun:
    return dry_run(world.manager, text.encode(), now=AT)


def taken(world: World, text: str) -> DryRun:
    found = run(world, text)
    assert [(one.line_no, one.problems) for one in found.rows if one.problems] == []
    assert take_in(world.manager, planned_acts(found.said()), now=AT) == len(found.acts)
    return found


def exported(world: World) -> str:
    with team_scope(world.team):
        return "".join(gear_csv(world.team))


def without_ids(text: str) -> str:
    """The file as another team could take it in."""
    head, *rows = text.removeprefix("\ufeff").split("\r\n")
    place = head.split(",").index("id")
    cut = [row.split(",") for row in rows if row]
    return "\r\n".join([head, *(",".join([*r[:place], "", *r[place + 1 :]]) for r in cut)])


def refused(world: World, text: str) -> list[tuple[int, str, str]]:
    """Line, column and code of each problem."""
    return [
        (row.line_no, one.field, one.code) for row in run(world, text).rows for one in row.problems
    ]


def test_a_dry_run_says_what_would_be_made_and_writes_nothing(world: World) -> None:
    with team_scope(world.team):
        before = Act.objects.count(), PartKind.objects.count()
    found = run(world, NEW)
    assert [(one.line_no, one.what, one.becomes) for one in found.rows] == [
        (2, "part_kind", "new"), (3, "device_kind", "new"), (4, "device", "new"),
        (5, "part", "new"), (6, "part", "new"), (7, "part", "new"),
    ]  # fmt: skip
    with team_scope(world.team):
        assert (Act.objects.count(), PartKind.objects.count()) == before


def test_what_a_dry_run_showed_is_taken_in_once(world: World) -> None:
    found = taken(world, NEW)
    take_in(world.manager, planned_acts(found.said()), now=AT)  # the button was pressed twice
    with team_scope(world.team):
        assert Device.objects.get(mark="P-1").kind.name == "Pin"
        assert Part.objects.filter(kind__name="Stake 60 cm").count() == 6
        held = {one.cells["mark"]: one.cells for one in inventory(world.team) if one.what != ""
                and one.cells.get("mark")}  # fmt: skip
        assert (held["P-1"]["place"], held["P-1"]["tag"]) == ("shed", "T-9")
        assert (held["ST-7"]["state"], held["ST-7"]["place"]) == ("inspect", "bench")


def everything(world: World) -> None:
    """Something of each kind, with what a spreadsheet would run."""
    device = world.device("snare", "=D1")
    lent = world.device("body", "B1")
    do(world.manager, "keep_device", {
        "device": lent, "how": "lent", "member": world.student.member, "place": "@home",
    })  # fmt: skip
    do(world.manager, "tag_gear", {"device": device, "tag": "-7"})
    do(world.manager, "keep_device", {"device": world.device("snare", "L1"), "how": "lost"})
    lock = {"kind": world.part_kinds["lock"], "parts": [{"mark": "+1"}, {}], "place": "'=shelf"}
    do(world.manager, "stock_parts", lock)
    do(world.manager, "name_part_kind", {
        "kind": world.part_kinds["cable"], "role": "cable", "name": "cable, 7x7", "price": "1.40",
        "mass_kg": 0.043, "diameter_m": 0.0024, "fewest": 5,
    })  # fmt: skip


def test_an_export_comes_in_again_unchanged(world: World) -> None:
    everything(world)
    text = exported(world)
    assert "L1" not in text  # what is lost is not written
    found = run(world, text)
    assert Counter(one.becomes for one in found.rows) == {"same": len(found.rows)}
    assert found.acts == []
    assert not any(one.startswith(("=", "+", "-", "@")) for row in text.split("\r\n")
                   for one in row.split(","))  # fmt: skip


def test_an_export_comes_into_another_team_as_it_was(world: World, other_world: World) -> None:
    do(world.manager, "stock_parts", {"kind": world.part_kinds["lock"], "parts": [{}, {}]})
    world.device("snare", "D1")
    with team_scope(other_world.team):
        assert not Device.objects.exists()
    taken(other_world, without_ids(exported(world)))
    ours, theirs = (without_ids(exported(one)).split("\r\n") for one in (world, other_world))
    assert sorted(ours) == sorted(theirs)


def test_a_changed_cell_is_shown_and_an_empty_one_leaves_it(world: World) -> None:
    everything(world)
    text = "what;name;price;fewest\npart_kind;cable, 7x7;1,60;\npart_kind;lock as bought;;3\n"
    found = taken(world, text)
    assert [one.changes for one in found.rows] == [
        [("price", "1.40", "1.60")], [("fewest", "", "3")],
    ]  # fmt: skip
    with team_scope(world.team):
        cable = PartKind.objects.get(name="cable, 7x7")
        assert (str(cable.price), cable.fewest, cable.mass_kg) == ("1.60", 5, 0.043)


def test_a_part_in_stock_is_built_in_and_one_is_put_away(world: World) -> None:
    device = world.device("snare", "D1")
    do(world.manager, "strip_device", {"device": device}, at=AT)
    text = exported(world).replace("inspect,,,,", "stock,,,,", 1)
    taken(world, text)
    taken(world, "what,kind,mark,device\npart,swivel as bought,,D1\n")
    with team_scope(world.team):
        assert Part.objects.filter(kind_id=world.part_kinds["swivel"]).count() == 2


BROKEN = (
    ("part_kind,N,stake,,,,,-1,,", (3, "price", "shape_greater_than_equal")),
    ("part_kind,N,stake,,,,,dear,,", (3, "price", "row_no_number")),
    ("part_kind,N,wheel,,,,,,,", (3, "role", "shape_enum")),
    ("part_kind,N,,,,,,,,", (3, "role", "shape_missing")),
    ("spring,,,,,,,,,", (3, "what", "row_what")),
    ("device,,,D1,body,,,,,", (3, "kind", "row_stays")),
    ("device,,,X1,nothing,,,,,", (3, "kind", "row_unknown_name")),
    ("device,,,,snare,,,,,", (3, "mark", "row_not_said_here")),
    ("device,,,X1,snare,lent,,,,", (3, "lent_to", "row_unknown_name")),
    ("device,,,X1,snare,,,2,,", (3, "price", "row_other_column")),
    ("part,,,,lock as bought,spent,,,,", (3, "state", "row_new_part_state")),
    ("part,,,,lock as bought,,D9,,,", (3, "device", "row_unknown_name")),
    ("part,,,,lock as bought,,,,0,", (3, "count", "row_count")),
    ("part,,,L1,lock as bought,,,,2,", (3, "count", "row_count")),
    ("part,,,,lock as bought,,D1,,,", (3, "device", "role_too_many")),
    ("part,,,,,,,,,01a1ad2e-0000-7000-8000-000000000000", (3, "id", "row_unknown_id")),
    ("part,,,too,few", (3, "row", "csv_cells")),
)


def test_a_broken_row_is_refused_with_its_line_column_and_reason_and_nothing_comes_in(
    world: World,
) -> None:
    world.device("snare", "D1")
    head = "what,name,role,mark,kind,state,device,price,count,id\npart_kind,Good,stake,,,,,,,\n"
    for row, said in BROKEN:
        found = run(world, f"{head}{row}\n")
        assert [(r.line_no, p.field, p.code) for r in found.rows for p in r.problems] == [said], row
        assert found.acts == []


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "file_empty"),
        ("mark,kind\nD1,snare\n", "csv_no_column"),
        ("what,colour\npart,red\n", "csv_unknown_column"),
        ("what\n", "csv_no_rows"),
    ],
)
def test_a_table_that_is_none_is_refused_whole(world: World, text: str, code: str) -> None:
    with pytest.raises(Refused) as caught:
        run(world, text)
    assert caught.value.problems[0].code == code


def test_two_rows_of_one_thing_and_a_name_of_two_are_refused(world: World) -> None:
    two: dict[str, Any] = {
        "kind": world.part_kinds["lock"],
        "parts": [{"mark": "L1"}, {"mark": "L1"}],
    }
    do(world.manager, "stock_parts", two)
    head = "what,mark,kind,place\n"
    assert refused(world, f"{head}part,L1,lock as bought,A\n") == [(2, "mark", "row_name_twice")]
    world.device("snare", "D1")
    row = "device,D1,,A\n"
    assert refused(world, head + row + row) == [(3, "row", "row_met_before")]


def test_what_changed_since_the_dry_run_brings_nothing_in(world: World) -> None:
    found = run(world, NEW)
    world.device("snare", "P-1")
    with pytest.raises(Refused) as caught:
        take_in(world.manager, planned_acts(found.said()), now=AT)
    assert [one.code for one in caught.value.problems] == ["mark_taken"]
    with team_scope(world.team):
        assert not PartKind.objects.filter(name="Stake 60 cm").exists()


def test_who_does_not_lead_is_refused(world: World) -> None:
    found = dry_run(world.student, NEW.encode(), now=AT)
    assert {p.code for row in found.rows for p in row.problems} >= {"only_leaders"}
    assert found.acts == []


@given(text=st.text(st.sampled_from("'=+-@\t x,;\"\n"), max_size=6))
def test_no_text_runs_as_a_formula_and_each_is_read_as_it_was(text: str) -> None:
    """OWASP, CSV Injection: = + - @, tab, carriage return (from memory)."""
    written = cell(text)
    assert not written.startswith(("=", "+", "-", "@", "\t", "\r", "\n"))
    assert plain(written) == text.strip()


def test_every_column_can_be_read() -> None:
    raw = (",".join(COLUMNS) + "\npart" + "," * (len(COLUMNS) - 1) + "\n").encode()
    assert set(read_table(raw, columns=COLUMNS, needed=("what",), most=5).rows[0].cells) == set(
        COLUMNS
    )
