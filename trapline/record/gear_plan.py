"""What a file of gear asks for, row by row: the acts that would make it so, compared with what is.

An empty cell leaves a thing as it is. A row names a thing by its id, or by its name or mark.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from trapline.gear.formats.columns import (
    DEVICE,
    DEVICE_KIND,
    NUMBERS,
    OF_DEVICE_KIND,
    OF_PART_KIND,
    PART,
    PART_KIND,
    TAKES,
    built_of,
)
from trapline.ground.errors import Problem, Refused
from trapline.ground.ids import new_id
from trapline.ground.tables import Table, TableRow
from trapline.record.gear_rows import (
    GearAct,
    PlannedRow,
    alike,
    at_column,
    name_of,
    number_of,
    order_of,
    said_as,
)
from trapline.record.kinds import kind_of
from trapline.standing.inventory import Thing

# In this order: a device kind is there before its devices, a part in stock before it is put away.
PHASES = (
    "name_part_kind", "name_device_kind", "stock_parts", "build_device", "put_parts",
    "keep_device", "tag_gear",
)  # fmt: skip


@dataclass(frozen=True)
class People:
    """What rows name beside gear: members by name and skills by code, each lower-cased."""

    members: Mapping[str, list[UUID]]
    skills: Mapping[str, list[UUID]]


class Plan:
    """The rows of a file, each with what would become of it, and the acts."""

    def __init__(self, things: Sequence[Thing], people: People, table: Table) -> None:
        self._people, self._comma = people, table.decimal_comma
        self._by_id = {(one.what, str(one.id)): one for one in things}
        self._named: dict[tuple[str, str, str], list[Thing]] = defaultdict(list)
        for one in things:
            if key := name_of(one.cells):
                kind = one.cells["kind"] if one.what == PART else ""
                self._named[one.what, kind.casefold(), key.casefold()].append(one)
        self._ids: dict[tuple[str, str], UUID] = {
            (one.what, name_of(one.cells).casefold()): one.id for one in things if one.what != PART
        }
        self._kind_of_device = {
            one.cells["mark"].casefold(): one.cells["kind"] for one in things if one.what == DEVICE
        }
        self._met: set[UUID] = set()
        self._builds: dict[UUID, GearAct] = {}
        self._stocks: dict[tuple[str, str], GearAct] = {}
        self.acts: list[GearAct] = []
        self.rows = [self._row(one) for one in sorted(table.rows, key=order_of)]
        self.acts.sort(key=lambda one: PHASES.index(one.kind))
        self.rows.sort(key=lambda one: one.line_no)

    def _row(self, said: TableRow) -> PlannedRow:
        what = said.cells.get("what", "").strip().lower()
        cells = {name: text for name, text in said.cells.items() if text and name != "what"}
        row = PlannedRow(said.line_no, what, name_of(cells))
        if said.problem is not None:
            row.problems.append(said.problem)
        elif what not in TAKES:
            values = {"text": what[:40], "words": ", ".join(TAKES)}
            row.problems.append(Problem("what", "row_what", values))
        else:
            row.problems += self._unfit(what, cells)
            thing = self._thing(row, cells)
            if not row.problems:
                {PART_KIND: self._part_kind, DEVICE_KIND: self._device_kind,
                 DEVICE: self._device, PART: self._part}[what](row, cells, thing)  # fmt: skip
        if row.problems:
            row.becomes = "refused"
        return row

    def _unfit(self, what: str, cells: dict[str, str]) -> list[Problem]:
        """Columns that say nothing of such a row, and numbers that are none."""
        problems = [
            Problem(name, "row_other_column", {"what": what})
            for name in cells
            if name != "id" and name not in TAKES[what]
        ]
        for name in NUMBERS:
            if name in cells:
                if self._comma:
                    cells[name] = cells[name].replace(",", ".")
                if number_of(cells[name]) is None:
                    problems.append(Problem(name, "row_no_number", {"text": cells[name][:40]}))
        return problems

    def _thing(self, row: PlannedRow, cells: Mapping[str, str]) -> Thing | None:
        """The thing that the row is about; None for a new one."""
        if key := cells.get("id"):
            found = [self._by_id[row.what, key.lower()]] if (
                (row.what, key.lower()) in self._by_id) else []  # fmt: skip
            if not found:
                row.problems.append(Problem("id", "row_unknown_id"))
        else:
            kind = cells.get("kind", "") if row.what == PART else ""
            found = self._named[row.what, kind.casefold(), row.name.casefold()] if row.name else []
        if len(found) > 1:
            row.problems.append(Problem("mark", "row_name_twice", {"text": row.name[:60]}))
            return None
        if found and found[0].id in self._met:
            row.problems.append(Problem("row", "row_met_before"))
        self._met.update(one.id for one in found)
        if found:
            row.name = row.name or name_of(found[0].cells)
        return found[0] if found else None

    def _part_kind(self, row: PlannedRow, cells: dict[str, str], thing: Thing | None) -> None:
        self._kind(row, cells, thing, OF_PART_KIND, "name_part_kind")

    def _device_kind(self, row: PlannedRow, cells: dict[str, str], thing: Thing | None) -> None:
        self._kind(row, cells, thing, OF_DEVICE_KIND, "name_device_kind")

    def _kind(
        self, row: PlannedRow, cells: dict[str, str], thing: Thing | None,
        columns: Sequence[str], act: str,
    ) -> None:  # fmt: skip
        """A kind of part or of device: said whole, with what is as it is where a cell is empty."""
        self._compare(row, cells, thing, columns)
        key = thing.id if thing else new_id()
        whole = {**(thing.cells if thing else {}), **cells}
        body: dict[str, Any] = {n: said_as(n, whole[n]) for n in columns if whole.get(n)}
        body["kind"] = key
        if act == "name_device_kind":
            parts = built_of(body.pop("built_of", ""))
            if isinstance(parts, Problem):
                row.problems.append(parts)
                return
            body["parts"] = parts
            if skill := body.pop("skill", ""):
                body["skill"] = self._found(row, "skill", skill, self._people.skills)
        # A new name counts for the rows below at once.
        self._ids[row.what, whole.get("name", "").casefold()] = key
        if row.becomes != "same":
            self._act(row, act, body)

    def _device(self, row: PlannedRow, cells: dict[str, str], thing: Thing | None) -> None:
        now = thing.cells if thing else {"state": "store", "place": "", "lent_to": "", "tag": ""}
        key = thing.id if thing else new_id()
        if thing is None:
            row.becomes = "new"
            kind = self._id_of(row, DEVICE_KIND, cells.get("kind", ""), "kind")
            if not row.name:
                row.problems.append(Problem("mark", "row_not_said_here"))
            if row.problems:
                return
            self._ids[DEVICE, row.name.casefold()] = key
            self._kind_of_device[row.name.casefold()] = cells["kind"]
            body: dict[str, Any] = {"device": key, "kind": kind, "mark": row.name, "parts": []}
            if act := self._act(row, "build_device", body):
                self._builds[key] = act
        else:
            self._stays(row, cells, thing, ("mark", "kind"))
        said = {**now, **cells}
        if any(said[name] != now[name] for name in ("state", "place", "lent_to")):
            kept = {"device": key, "how": said["state"], "place": said["place"]}
            if said["state"] == "lent":
                kept["member"] = self._found(row, "lent_to", said["lent_to"], self._people.members)
            elif cells.get("lent_to"):
                row.problems.append(Problem("lent_to", "lent_to_whom"))
            self._act(row, "keep_device", kept)
        if said["tag"] != now["tag"]:
            self._act(row, "tag_gear", {"device": key, "tag": said["tag"]})
        self._compare(row, cells, thing, ("state", "place", "lent_to", "tag"))

    def _part(self, row: PlannedRow, cells: dict[str, str], thing: Thing | None) -> None:
        if thing is None:
            self._new_parts(row, cells)
            return
        self._stays(row, cells, thing, ("mark", "kind"))
        if "count" in cells:
            row.problems.append(Problem("count", "row_count_of_one"))
        now = thing.cells
        said = {**now, **cells}
        device = cells.get("device", "")
        if device and said["state"] not in (now["state"], "built_in"):
            row.problems.append(Problem("device", "row_state_and_device"))
        elif device and device != now["device"]:
            self._build_in(row, device, [{"part": thing.id, "kind": self._part_kind_id(row, now)}])
        elif said["state"] != now["state"] or (
            said["state"] != "built_in" and said["place"] != now["place"]
        ):
            put = {"parts": [thing.id], "state": said["state"], "place": said["place"]}
            self._act(row, "put_parts", put | {"why": said["why"]})
        if said["tag"] != now["tag"]:
            self._act(row, "tag_gear", {"part": thing.id, "tag": said["tag"]})
        self._compare(row, cells, thing, ("state", "place", "device", "tag"))

    def _new_parts(self, row: PlannedRow, cells: dict[str, str]) -> None:
        """One part, or so many without a mark, into stock or into a device."""
        row.becomes = "new"
        kind = self._id_of(row, PART_KIND, cells.get("kind", ""), "kind")
        count, mark = number_of(cells.get("count", "1")) or 0, cells.get("mark", "")
        state, device = cells.get("state", ""), cells.get("device", "")
        if not 1 <= count <= 500 or count != int(count) or (mark and count > 1):
            row.problems.append(Problem("count", "row_count", {"most": 500}))
        if state not in ("", "built_in" if device else "stock", "" if device else "inspect"):
            row.problems.append(Problem("state", "row_new_part_state"))
        if row.problems:
            return
        parts = [{"part": new_id(), "mark": mark} for _ in range(int(count))]
        if device:
            self._build_in(row, device, [{**one, "kind": kind} for one in parts])
        else:
            self._stock(row, kind, cells.get("place", ""), parts)
            if state == "inspect":
                put = {"parts": [one["part"] for one in parts], "state": state}
                self._act(row, "put_parts", put | {"place": cells.get("place", "")})
        if tag := cells.get("tag"):
            if len(parts) > 1:
                row.problems.append(Problem("tag", "row_count", {"most": 500}))
            self._act(row, "tag_gear", {"part": parts[0]["part"], "tag": tag})

    def _stock(
        self, row: PlannedRow, kind: UUID | None, place: str, parts: list[dict[str, Any]]
    ) -> None:
        """Into stock: one act for each kind and place, of at most 500 parts."""
        act = self._stocks.get((str(kind), place))
        if act is None or len(act.body["parts"]) + len(parts) > 500:
            body: dict[str, Any] = {"kind": kind, "place": place, "parts": []}
            if (act := self._act(row, "stock_parts", {**body, "parts": parts})) is None:
                return
            self._stocks[str(kind), place] = act
        else:
            act.body["parts"] += parts
            act.lines.append(row.line_no)

    def _build_in(self, row: PlannedRow, mark: str, parts: list[dict[str, Any]]) -> None:
        """Into a device, which may be new in this file."""
        device = self._id_of(row, DEVICE, mark, "device")
        if device is None:
            return
        if device not in self._builds:
            kind = self._id_of(
                row, DEVICE_KIND, self._kind_of_device.get(mark.casefold(), ""), "device"
            )
            body = {"device": device, "kind": kind, "mark": mark, "parts": parts}
            if act := self._act(row, "build_device", body):
                self._builds[device] = act
            return
        self._builds[device].body["parts"] += parts
        self._builds[device].lines.append(row.line_no)

    def _act(self, row: PlannedRow, kind: str, body: dict[str, Any]) -> GearAct | None:
        """The act, if its body can be read; else its problems stand in the row."""
        try:
            kind_of(kind, 1).read(body)
        except Refused as error:
            row.problems += [at_column(one, row.what) for one in error.problems]
            return None
        act = GearAct(new_id(), kind, body, [row.line_no])
        self.acts.append(act)
        return act

    def _id_of(self, row: PlannedRow, what: str, name: str, column: str) -> UUID | None:
        """What is called so, also when it is new in this file."""
        if not name:
            row.problems.append(Problem(column, "row_not_said_here"))
            return None
        found = self._ids.get((what, name.casefold()))
        if found is None:
            row.problems.append(Problem(column, "row_unknown_name", {"text": name[:60]}))
        return found

    def _part_kind_id(self, row: PlannedRow, now: Mapping[str, str]) -> UUID | None:
        return self._id_of(row, PART_KIND, now["kind"], "kind")

    @staticmethod
    def _found(
        row: PlannedRow, column: str, name: str, known: Mapping[str, list[UUID]]
    ) -> UUID | None:
        keys = known.get(name.casefold(), [])
        if len(keys) == 1:
            return keys[0]
        values = {"text": name[:60]}
        row.problems.append(
            Problem(column, "row_name_twice", values)
            if keys
            else Problem(column, "row_unknown_name", values)
        )
        return None

    @staticmethod
    def _stays(
        row: PlannedRow, cells: Mapping[str, str], thing: Thing, columns: Sequence[str]
    ) -> None:
        """What cannot be said anew of a thing that is there."""
        row.problems += [
            Problem(name, "row_stays", {"said": thing.cells[name]})
            for name in columns
            if cells.get(name) and cells[name].casefold() != thing.cells[name].casefold()
        ]

    @staticmethod
    def _compare(
        row: PlannedRow, cells: Mapping[str, str], thing: Thing | None, columns: Sequence[str]
    ) -> None:
        if thing is None:
            row.becomes = "new"
            return
        row.changes = [
            (name, thing.cells[name], cells[name])
            for name in columns
            if cells.get(name) and not alike(name, cells[name], thing.cells[name])
        ]
        row.becomes = "changed" if row.changes else "same"
