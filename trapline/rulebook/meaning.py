"""What a rulebook of the right shape can still have wrong: names that lead nowhere, and sense."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from graphlib import CycleError, TopologicalSorter
from typing import Any

from trapline.calc.deadlines import FormError, from_params
from trapline.ground.errors import Problem
from trapline.rulebook import asks, outline
from trapline.rulebook.forms import EachYear, Once
from trapline.rulebook.matters import Rule
from trapline.rulebook.shape import Shape


def problems_in(document: Shape) -> list[Problem]:
    """Every problem, with its dotted path, in the document's order."""
    return [
        *_twice("authorities", document.authorities),
        *_twice("species", document.species),
        *_twice("zones", document.zones),
        *_areas(document),
        *_twice("rules", document.rules),
        *_names(document),
        *_instead(document.rules),
        *(found for at, rule in enumerate(document.rules) for found in _sense(rule, f"rules.{at}")),
    ]


def params_of(rule: Rule) -> dict[str, Any]:
    """A rule's parameters as plain JSON, as the table keeps them and `from_params` reads them."""
    plain: dict[str, Any] = rule.params.model_dump(mode="json", by_alias=True, exclude_none=True)
    return plain


def _twice(name: str, items: Iterable[Any]) -> Iterator[Problem]:
    seen: dict[str, int] = {}
    for at, item in enumerate(items):
        if item.code in seen:
            values = {"code": item.code, "first": f"{name}.{seen[item.code]}"}
            yield Problem(f"{name}.{at}.code", "rulebook_code_twice", values)
        seen.setdefault(item.code, at)


def _areas(document: Shape) -> Iterator[Problem]:
    for at, zone in enumerate(document.zones):
        yield from outline.problems_in(zone.area, f"zones.{at}.area")


def _names(document: Shape) -> Iterator[Problem]:
    authorities = {one.code for one in document.authorities}
    known = {
        "zones": {one.code for one in document.zones},
        "species": {one.code for one in document.species},
    }
    for at, rule in enumerate(document.rules):
        if rule.authority not in authorities:
            values = {"code": rule.authority}
            yield Problem(f"rules.{at}.authority", "rulebook_unknown_authority", values)
        for name, codes in known.items():
            for number, code in enumerate(getattr(rule, name)):
                if code not in codes:
                    field = f"rules.{at}.{name}.{number}"
                    yield Problem(field, f"rulebook_unknown_{name}", {"code": code})


def _instead(rules: tuple[Rule, ...]) -> Iterator[Problem]:
    by_code = {rule.code: rule for rule in rules}
    circle = _in_circle(by_code)
    for at, rule in enumerate(rules):
        for number, code in enumerate(rule.instead_of):
            field, wider = f"rules.{at}.instead_of.{number}", by_code.get(code)
            if wider is None:
                yield Problem(field, "rulebook_instead_unknown", {"code": code})
            elif wider.authority != rule.authority:
                values = {"code": code, "authority": wider.authority}
                yield Problem(field, "rulebook_instead_other_authority", values)
            elif wider.matter != rule.matter:
                values = {"code": code, "matter": wider.matter}
                yield Problem(field, "rulebook_instead_other_matter", values)
            elif {rule.code, code} <= circle:
                yield Problem(field, "rulebook_instead_circle", {"code": code})


def _in_circle(by_code: dict[str, Rule]) -> set[str]:
    """The rules of one circle of `instead_of`, if there is any."""
    try:
        TopologicalSorter({code: rule.instead_of for code, rule in by_code.items()}).prepare()
    except CycleError as error:
        return set(error.args[1])
    return set()


def _sense(rule: Rule, field: str) -> Iterator[Problem]:
    if (rule.from_day is None) != (rule.until_day is None):
        missing = "from_day" if rule.from_day is None else "until_day"
        yield Problem(f"{field}.{missing}", "rulebook_half_a_span", {})
    if rule.holds_from and rule.holds_until and rule.holds_until <= rule.holds_from:
        yield Problem(f"{field}.holds_until", "rulebook_holds_backwards", {})
    if type(rule.params) in asks.BOUNDS:
        yield from _bounds(rule.params, f"{field}.params")
    if isinstance(rule.params, asks.Hours):
        yield from _hours(params_of(rule), f"{field}.params")
    if rule.matter == "check":
        try:
            from_params(rule.form, params_of(rule))
        except FormError as error:
            yield Problem(f"{field}.params.{error.field}", f"form_{error.code}", {})
    if isinstance(rule.params, EachYear | Once):
        yield from _season(rule.params, f"{field}.params")


def _bounds(params: Any, field: str) -> Iterator[Problem]:
    low, high = asks.BOUNDS[type(params)]
    least, most = getattr(params, low), getattr(params, high)
    if least is None and most is None:
        yield Problem(f"{field}.{low}", "rulebook_no_bound", {"low": low, "high": high})
    elif least is not None and most is not None and most < least:
        yield Problem(f"{field}.{high}", "form_order", {})


def _hours(params: dict[str, Any], field: str) -> Iterator[Problem]:
    try:
        from_params("none", {"no_tending": params})
    except FormError as error:
        inner = error.field.removeprefix("no_tending")
        yield Problem(f"{field}{inner}", f"form_{error.code}", {})


def _season(season: EachYear | Once, field: str) -> Iterator[Problem]:
    if isinstance(season, Once):
        for name in ("opens_on", "closes_on"):
            try:
                date.fromisoformat(getattr(season, name))
            except ValueError:
                yield Problem(f"{field}.{name}", "rulebook_no_such_date", {})
                return
        if season.closes_on < season.opens_on:
            yield Problem(f"{field}.closes_on", "rulebook_season_backwards", {})
            return
    closes_by = season.closes_by or "24:00"
    if season.opens_on == season.closes_on and closes_by <= (season.opens_by or "00:00"):
        yield Problem(f"{field}.closes_by", "rulebook_season_empty", {})
