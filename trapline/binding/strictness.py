"""Which of several rules of one matter is the strictest: each rule as bounds, the least binds.

Check intervals are weighed by their due moments instead (bind.py).
"""

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from trapline.binding.matters import VersionRules

Bound = tuple[tuple[str, ...], float]
"""What is bounded, and how strictly: of two of one kind the lower is the stricter."""

_Bounds = Callable[[Mapping[str, Any]], list[Bound]]


def _least_most(low: str, high: str, *also: str) -> _Bounds:
    def bounds(params: Mapping[str, Any]) -> list[Bound]:
        kind = tuple(str(params[name]) for name in also)
        found: list[Bound] = []
        if params.get(low) is not None:
            found.append(((*kind, low), -float(params[low])))
        if params.get(high) is not None:
            found.append(((*kind, high), float(params[high])))
        return found

    return bounds


def _one(*also: str, by: Callable[[Mapping[str, Any]], float] = lambda params: 0.0) -> _Bounds:
    return lambda params: [(tuple(str(params[name]) for name in also), by(params))]


_BOUNDS: dict[tuple[str, str], _Bounds] = {
    ("device", "forbidden"): _one(),
    ("device", "jaw_spread"): _least_most("at_least_m", "at_most_m"),
    ("loop", "diameter"): _least_most("from_m", "to_m"),
    ("loop", "height"): _least_most("from_m", "to_m", "datum", "edge"),
    ("part", "required"): _one("role"),
    ("part", "strength"): _least_most("at_least_n", "at_most_n", "role"),
    ("tag", "required"): _one(),
    ("bait", "not_in_view"): _one(),
    ("setback", "from_feature"): _one("feature", by=lambda params: -float(params["at_least_m"])),
    ("report", "within_hours"): _one("of", by=lambda params: float(params["hours"])),
    ("report", "by_date"): _one("of", by=lambda params: float(params["on"].replace("-", ""))),
    ("seal", "of_catch"): _one("what", by=lambda params: float(params["days"])),
    ("seal", "of_close"): _one("what", by=lambda params: float(params["days"])),
    ("sample", "of_catch"): _one("sample", by=lambda params: float(params["days"])),
    ("sample", "of_close"): _one("sample", by=lambda params: float(params["days"])),
    ("supervision", "while_learning"): _one(by=lambda params: float(params["how"] != "in_sight")),
    ("limit", "per_person"): _one("within", by=lambda params: float(params["count"])),
    ("limit", "per_team"): _one("within", by=lambda params: float(params["count"])),
    ("limit", "per_zone"): _one("within", by=lambda params: float(params["count"])),
}


OF_SPECIES = ("limit", "report", "seal", "sample")


def strictest(rules: VersionRules, numbers: Iterable[int]) -> dict[int, set[int]]:
    """Of some rules that apply to one set, those that another outdoes: by number, by which.

    A rule that is strictest in any of its bounds is outdone by none; of equals the one with the
    lower number binds. Matters that only add up (seasons, sign-offs, agents, hours) outdo nothing.
    Limits and reports for different species do not meet.
    """
    best: dict[tuple[Any, ...], tuple[float, int]] = {}
    kept: dict[int, list[tuple[Any, ...]]] = {}
    for number in numbers:
        matter, form = rules.matters[number], rules.forms[number]
        if (bounds := _BOUNDS.get((matter, form))) is None:
            continue
        species = rules.species_codes[number] if matter in OF_SPECIES else ()
        for kind, value in bounds(rules.params[number]):
            key = (matter, form, species, *kind)
            kept.setdefault(number, []).append(key)
            best[key] = min(best.get(key, (value, number)), (value, number))
    return {
        number: {best[key][1] for key in keys}
        for number, keys in kept.items()
        if all(best[key][1] != number for key in keys)
    }
