"""Rulebooks for tests: a small one by hand, and any number of sound ones by hypothesis."""

from copy import deepcopy
from typing import Any

from hypothesis import strategies as st
from hypothesis.strategies import DrawFn, SearchStrategy

from trapline.calc.deadlines import FORMS, FormError, from_params
from trapline.gear.models import Action, DeviceClass, PartRole
from trapline.land.models import FeatureKind, Placement
from trapline.rulebook.models import AuthorityKind, Handling
from trapline.rulebook.schema import Document, read_document

Plain = dict[str, Any]

SQUARE: Plain = {
    "type": "Polygon",
    "coordinates": [[[14.0, 62.0], [14.2, 62.0], [14.2, 62.1], [14.0, 62.1], [14.0, 62.0]]],
}
NEXT_SQUARE: Plain = {
    "type": "Polygon",
    "coordinates": [[[14.2, 62.0], [14.4, 62.0], [14.4, 62.1], [14.2, 62.1], [14.2, 62.0]]],
}
_SMALL: Plain = {
    "format": 1,
    "title": "A small invented rulebook",
    "in_force_from": "2025-10-01T00:00:00+02:00",
    "authorities": [
        {"code": "office", "name": "The office", "kind": "state"},
        {"code": "team", "name": "The team", "kind": "team"},
    ],
    "species": [
        {"code": "marten", "name": "Marten", "handling": "keep", "card": "Stay back.\nGloves."},
        {"code": "eagle", "name": "Eagle", "latin": "Aquila chrysaetos"},
    ],
    "zones": [
        {"code": "W", "name": "West", "area": SQUARE},
        {"code": "E", "name": "East", "area": NEXT_SQUARE},
    ],
    "rules": [
        {
            "code": "office-24h",
            "authority": "office",
            "matter": "check",
            "form": "within_hours",
            "params": {"hours": 24, "no_tending": {"from": "22:00", "to": "05:00"}},
            "actions": ["holding"],
        },
        {
            "code": "office-ice",
            "authority": "office",
            "matter": "check",
            "form": "within_hours",
            "params": {"hours": 72},
            "placements": ["under_ice"],
            "zones": ["W"],
            "from_day": "11-15",
            "until_day": "04-01",
            "instead_of": ["office-24h"],
        },
        {
            "code": "marten-season",
            "authority": "office",
            "matter": "season",
            "form": "each_year",
            "params": {
                "opens_on": "11-01",
                "opens_by": "12:00",
                "closes_on": "02-15",
                "closes_by": "12:00",
            },
            "species": ["marten"],
        },
        {
            "code": "marten-limit",
            "authority": "team",
            "matter": "limit",
            "form": "per_person",
            "params": {"count": 10},
            "species": ["marten"],
        },
    ],
}


def small(**changed: Any) -> Plain:
    """The small rulebook as plain values, free to be spoiled; `changed` replaces whole fields."""
    return deepcopy(_SMALL) | changed


def zone(code: str, area: Plain = SQUARE, name: str = "") -> Plain:
    return {"code": code, "name": name or f"Zone {code}", "area": area}


def book(in_force_from: str, *zones: Plain, **changed: Any) -> Document:
    """A sound rulebook with these zones and no rules unless told."""
    return read_document(
        small(in_force_from=in_force_from, zones=list(zones)) | {"rules": []} | changed
    )


# Any text that a rulebook takes, those included that YAML would like to read as something else.
_LETTERS = st.characters(
    exclude_categories=["Cc", "Cs", "Zl", "Zp"], exclude_characters="\ufeff\ufffe\uffff"
)
_TRICKY = st.sampled_from(
    ["no", "null", "~", "1e3", "0o7", "0x1F", "22:00", "2026-10-01", ".5", "- a", "a: b", "#", "%"]
)
lines = st.text(_LETTERS, min_size=1, max_size=30).filter(lambda t: t.strip() != "") | _TRICKY
words = st.text(_LETTERS | st.sampled_from("\n\t"), max_size=60) | _TRICKY
codes = st.from_regex(r"\A[A-Za-z0-9][A-Za-z0-9_-]{0,11}\Z") | st.sampled_from(
    ["5", "1e3", "no", "0x1F", "5A", "null"]
)
clocks = st.times().map(lambda t: t.strftime("%H:%M"))
days = st.dates().map(lambda d: d.strftime("%m-%d"))
hours = st.floats(0.25, 500) | st.integers(1, 500)
sun_times = st.fixed_dictionaries(
    {"sun": st.sampled_from(["dawn", "sunrise", "sunset", "dusk"]), "otherwise": clocks},
    optional={"offset_min": st.integers(-300, 300)},
)
times_of_day = clocks | sun_times
spans = st.fixed_dictionaries({"from": times_of_day, "to": times_of_day})
_CALENDAR = {"by": times_of_day, "between": spans, "no_tending": spans}


def _params(form: str) -> SearchStrategy[Plain]:
    needed: dict[str, SearchStrategy[Any]] = {}
    optional: dict[str, SearchStrategy[Any]] = {"no_tending": spans}
    match form:
        case "within_hours":
            needed = {"hours": hours}
        case "each_day":
            optional = _CALENDAR
        case "every_days":
            needed, optional = {"days": st.integers(1, 14)}, _CALENDAR
        case "each_week":
            optional = {"first_weekday": st.integers(0, 6), **_CALENDAR}
        case "by_temperature":
            row = st.fixed_dictionaries(
                {"from_c": st.integers(-40, 0), "to_c": st.floats(1, 40), "hours": hours}
            )
            needed = {"rows": st.lists(row, min_size=1, max_size=1)}
            optional = {"nothing_below_c": st.integers(-50, -41), "no_tending": spans}
        case "monitored":
            needed = {"status_hours": hours, "visit_hours": hours}
    return st.fixed_dictionaries(needed, optional=optional)


@st.composite
def check_rules(draw: DrawFn) -> Plain:
    """A check rule's form and parameters, such that calc.deadlines takes them."""
    form = draw(st.sampled_from(FORMS))
    params = draw(_params(form).filter(lambda made: _taken(form, made)))
    return {"matter": "check", "form": form, "params": params}


def _taken(form: str, params: Plain) -> bool:
    try:
        from_params(form, params)
    except FormError:
        return False
    return True


seasons = st.fixed_dictionaries(
    {
        "matter": st.just("season"),
        "form": st.just("each_year"),
        "params": st.fixed_dictionaries(
            {"opens_on": days, "closes_on": days}, optional={"opens_by": clocks}
        ).filter(lambda made: made["opens_on"] != made["closes_on"]),
    }
)
limits = st.fixed_dictionaries(
    {
        "matter": st.just("limit"),
        "form": st.sampled_from(["per_person", "per_team", "per_zone"]),
        "params": st.fixed_dictionaries(
            {"count": st.integers(0, 99)}, optional={"within": st.sampled_from(["season", "day"])}
        ),
    }
)


def _bounds(low: str, high: str, **more: SearchStrategy[Any]) -> SearchStrategy[Plain]:
    spans = st.lists(st.floats(0, 50), min_size=2, max_size=2).map(sorted)
    both = spans.map(lambda pair: {low: pair[0], high: pair[1]})
    one = st.floats(0, 50).map(lambda value: {high: value})
    return st.builds(lambda bound, rest: bound | rest, both | one, st.fixed_dictionaries(more))


_FLAG = st.booleans()
_ASKED: dict[tuple[str, str], SearchStrategy[Plain]] = {
    ("device", "forbidden"): st.just({}),
    ("device", "jaw_spread"): _bounds("at_least_m", "at_most_m"),
    ("loop", "diameter"): _bounds("from_m", "to_m"),
    ("loop", "height"): _bounds(
        "from_m",
        "to_m",
        datum=st.sampled_from(["ground", "surface", "water"]),
        edge=st.sampled_from(["bottom", "top"]),
    ),
    ("part", "required"): st.fixed_dictionaries({"role": st.sampled_from(PartRole.values)}),
    ("part", "strength"): _bounds("at_least_n", "at_most_n", role=st.sampled_from(PartRole.values)),
    ("tag", "required"): st.just({}),
    ("bait", "not_in_view"): st.just({}),
    ("setback", "from_feature"): st.fixed_dictionaries(
        {"feature": st.sampled_from(FeatureKind.values), "at_least_m": st.floats(0.5, 500)}
    ),
    ("report", "within_hours"): st.fixed_dictionaries(
        {"of": st.sampled_from(["non_target", "any_catch"]), "hours": hours}
    ),
    ("report", "by_date"): st.fixed_dictionaries({"of": st.just("harvest"), "on": days}),
    ("seal", "of_catch"): st.fixed_dictionaries(
        {"what": st.sampled_from(["seal", "tag"]), "days": st.integers(1, 90)}
    ),
    ("seal", "of_close"): st.fixed_dictionaries(
        {"what": st.sampled_from(["seal", "tag"]), "days": st.integers(1, 90)}
    ),
    ("sample", "of_catch"): st.fixed_dictionaries(
        {"sample": st.sampled_from(["tooth", "carcass"]), "days": st.integers(1, 90)}
    ),
    ("sample", "of_close"): st.fixed_dictionaries(
        {"sample": st.sampled_from(["head", "tissue"]), "days": st.integers(1, 90)}
    ),
    ("skill", "required"): st.fixed_dictionaries(
        {"skills": st.lists(codes, min_size=1, max_size=3)}
    ),
    ("supervision", "while_learning"): st.fixed_dictionaries(
        {"how": st.sampled_from(["in_sight", "on_call"])}
    ),
    ("agent", "may"): st.fixed_dictionaries(
        {}, optional={"tend": _FLAG, "kill": _FLAG, "carry": _FLAG, "tag": _FLAG, "paper": words}
    ),
    ("tending", "forbidden_hours"): spans.filter(lambda made: _taken("none", {"no_tending": made})),
}


@st.composite
def asked(draw: DrawFn) -> Plain:
    """A rule of the other matters: on gear, place, people or animals."""
    matter, form = draw(st.sampled_from(sorted(_ASKED)))
    return {"matter": matter, "form": form, "params": draw(_ASKED[matter, form])}


@st.composite
def areas(draw: DrawFn) -> Plain:
    """A rectangle, sometimes two, sometimes with a hole."""
    west, south = draw(st.floats(-179, 170)), draw(st.floats(-89, 80))

    def rectangle(x: float, y: float, side: float) -> list[list[float]]:
        return [[x, y], [x + side, y], [x + side, y + side], [x, y + side], [x, y]]

    rings = [rectangle(west, south, 1.0)]
    if draw(st.booleans()):
        rings.append(rectangle(west + 0.25, south + 0.25, 0.5))
    if draw(st.booleans()):
        return {"type": "Polygon", "coordinates": rings}
    return {"type": "MultiPolygon", "coordinates": [rings, [rectangle(west + 2, south, 1.0)]]}


@st.composite
def documents(draw: DrawFn) -> Plain:
    """Any sound rulebook of moderate size, as plain values."""

    def some(minimum: int = 0) -> list[str]:
        return draw(st.lists(codes, unique=True, min_size=minimum, max_size=3))

    def coin() -> bool:
        return draw(st.booleans())

    authorities, species, zones = some(1), some(), some()
    rules: list[Plain] = []
    for code in some():
        rule = draw(check_rules() | seasons | limits | asked())
        rule |= {"code": code, "authority": draw(st.sampled_from(authorities))}
        for name, known in (
            ("zones", zones),
            ("species", species),
            ("device_classes", DeviceClass.values),
            ("actions", Action.values),
            ("placements", Placement.values),
        ):
            if known and coin():
                rule[name] = draw(st.lists(st.sampled_from(known), unique=True))
        if coin():
            rule |= {"from_day": draw(days), "until_day": draw(days), "source": draw(words)}
        if coin():
            rule["holds_from"] = "2025-11-01T00:00:00Z"
            rule["holds_until"] = "2026-03-01T12:00:00+02:00"
        wider = [
            other["code"]
            for other in rules
            if (other["authority"], other["matter"]) == (rule["authority"], rule["matter"])
        ]
        if wider:
            rule["instead_of"] = draw(st.lists(st.sampled_from(wider), unique=True))
        rules.append(rule)
    return {
        "format": 1,
        "title": draw(lines),
        "in_force_from": draw(st.sampled_from(["2025-10-01T00:00:00+02:00", "2030-02-28T12:30Z"])),
        "note": draw(words),
        "authorities": [
            {"code": code, "name": draw(lines), "kind": draw(st.sampled_from(AuthorityKind.values))}
            for code in authorities
        ],
        "species": [
            {
                "code": code,
                "name": draw(lines),
                "handling": draw(st.sampled_from(Handling.values)),
                "card": draw(words),
            }
            for code in species
        ],
        "zones": [{"code": code, "name": draw(lines), "area": draw(areas())} for code in zones],
        "rules": rules,
    }
