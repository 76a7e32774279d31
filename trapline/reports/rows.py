"""The rows of a report form, from the record. Cells are texts and numbers, in the form's order."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from trapline.ground import sql
from trapline.lines.words import Age, Fate, Sex
from trapline.reports.form import SUMS, Column, Form
from trapline.reports.harvest import TAKEN, Animal, LicenceHarvest, harvest
from trapline.reports.period import Period

Cell = str | int | float | bool | None


@dataclass(frozen=True)
class Line:
    """A row: what it is about (the same over all versions of a report) and its cells."""

    key: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class Made:
    """A form filled in: rows, totals, and values that the form has no code for."""

    rows: tuple[Line, ...]
    totals: tuple[tuple[str, Cell], ...]
    uncoded: tuple[str, ...]
    harvest: LicenceHarvest


def fill_in(team: UUID, form: Form, licence: UUID, period: Period, tz: str) -> Made:
    """Fill a form in for a licence and a period with both days. Two statements at most.

    tz: on whose clock a number that no animal bears was set aside.
    """
    (found,) = harvest(team, period, licence=licence).licences
    animals = [one for one in found.animals if form.which == "all" or one.fate in TAKEN]
    if form.rows == "animals":
        values: list[tuple[str, Mapping[str, Any]]] = [
            (str(one.animal), {"number": at, **vars(one)}) for at, one in enumerate(animals, 1)
        ]
    elif form.rows == "totals":
        values = _totals(form, animals)
    elif form.rows == "efforts":
        values = _efforts(team, form, licence, period)
    else:
        values = _numbers(team, form, licence, period, tz)
    uncoded: dict[str, None] = {}
    rows = tuple(
        Line(key, tuple(_cell(column, said.get(column.value), uncoded) for column in form.columns))
        for key, said in values
    )
    return Made(rows, tuple(_sums(form, values, uncoded)), tuple(uncoded), found)


def _cell(column: Column, value: Any, uncoded: dict[str, None]) -> Cell:
    if isinstance(value, date):  # a moment too
        return value.strftime(column.as_)
    if column.codes is not None and value not in (None, ""):
        said = str(value).lower() if isinstance(value, bool) else str(value)
        if said not in column.codes:
            uncoded[f"{column.head}: {said}"] = None
        return column.codes.get(said, said)
    if value is None or isinstance(value, bool | int | str):
        return value
    if isinstance(value, float):
        return round(value, 2)
    return str(value)


def _totals(form: Form, animals: Iterable[Animal]) -> list[tuple[str, Mapping[str, Any]]]:
    groups: dict[tuple[str, ...], Counter[str]] = {}
    for one in animals:
        told = vars(one) | {"month": f"{one.date:%Y-%m}"}
        key = tuple(str(told[name]) for name in form.group_by)
        count = groups.setdefault(key, Counter())
        count["animals"] += 1
        count[_FATES.get(one.fate, one.fate)] += 1
        if one.fate in TAKEN:
            count[_SEXES[one.sex]] += 1
            count[_AGES[one.age]] += 1
    return [
        (" · ".join(key), {**dict(zip(form.group_by, key, strict=True)),
                           **{name: count[name] for name in SUMS["totals"]}})
        for key, count in sorted(groups.items())
    ]  # fmt: skip


_FATES = {Fate.DISPATCHED.value: "taken", Fate.DEAD.value: "taken"}
_SEXES = {Sex.MALE.value: "male", Sex.FEMALE.value: "female", Sex.UNKNOWN.value: "sex_unknown"}
_AGES = {
    Age.ADULT.value: "adult", Age.JUVENILE.value: "juvenile", Age.UNKNOWN.value: "age_unknown",
}  # fmt: skip


def _efforts(
    team: UUID, form: Form, licence: UUID, period: Period
) -> list[tuple[str, Mapping[str, Any]]]:
    values = {"team": team, "licence": licence, "first": period.first, "last": period.last}
    heads = ("month", "device_class", "placement", "zone", "line")
    groups: dict[tuple[str, ...], dict[str, Any]] = {}
    stood: dict[tuple[str, ...], set[UUID]] = {}
    for row in sql.rows("trapline.reports", "efforts", values):
        told = dict(zip(heads, row[:5], strict=True))
        key = tuple(str(told[name]) for name in form.group_by)
        group = groups.setdefault(key, dict.fromkeys(SUMS["efforts"], 0))
        stood.setdefault(key, set()).add(row[5])
        for name, value in zip(SUMS["efforts"][1:], row[6:], strict=True):
            group[name] += float(value) if name.startswith("nights") else int(value)
    return [
        (" · ".join(key), {**dict(zip(form.group_by, key, strict=True)), **group,
                           "sets": len(stood[key])})
        for key, group in sorted(groups.items())
    ]  # fmt: skip


def _numbers(
    team: UUID, form: Form, licence: UUID, period: Period, tz: str
) -> list[tuple[str, Mapping[str, Any]]]:
    values = {"team": team, "licence": licence, "kind": form.kind}
    found: list[tuple[str, Mapping[str, Any]]] = []
    for kind, number, use, at, day, animal, code, name, sex in sql.rows(
        "trapline.reports", "numbers", values
    ):
        on = day or at.astimezone(ZoneInfo(tz)).date()
        if (period.first and on < period.first) or (period.last and on > period.last):
            continue
        said = {"kind": kind, "number": number, "use": use, "date": on, "animal": animal,
                "species": code, "species_name": name, "sex": sex}  # fmt: skip
        found.append((f"{kind} {number}", said))
    return found


def _sums(
    form: Form, values: list[tuple[str, Mapping[str, Any]]], uncoded: dict[str, None]
) -> Iterable[tuple[str, Cell]]:
    columns = {column.value: column for column in form.columns}
    for total in form.totals:
        sums: dict[str, float] = {}
        for _, said in values:
            by = total.by and _cell(columns[total.by], said.get(total.by), uncoded)
            more = 1 if total.count == "rows" else said[total.count]
            sums[str(by or "")] = sums.get(str(by or ""), 0) + more
        if total.by is None:
            sums.setdefault("", 0)
        for by, count in sorted(sums.items()):
            yield f"{total.head}: {by}" if by else total.head, round(count, 2)
