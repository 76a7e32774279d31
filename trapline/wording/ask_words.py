"""What the rules on gear, place, people and animals ask, each in one sentence."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from trapline.ground.units_shown import Quantity, from_si, unit_of
from trapline.wording.vocabulary import label_of

Params = Mapping[str, Any]


@dataclass(frozen=True)
class Saying:
    """A person's units, and how a time of day and a day (MM-DD) are said."""

    units: str
    time: Callable[[Any], str]
    day: Callable[[str], str]

    def limit(self, value: float | None, quantity: Quantity) -> str:
        """A limit as it stands: rounded, it would be another limit."""
        if value is None:
            return ""
        unit = unit_of(quantity, self.units)
        return f"{from_si(value, quantity, self.units):.6g}\u00a0{unit.symbol}"

    def span(self, params: Params, low: str, high: str) -> str:
        least, most = params.get(low), params.get(high)
        said = {"low": self.limit(least, "size"), "high": self.limit(most, "size")}
        if least is None:
            return _("at most %(high)s") % said
        return (_("at least %(low)s") if most is None else _("from %(low)s to %(high)s")) % said


def _jaw_spread(params: Params, say: Saying) -> str:
    return _("Jaw spread %(span)s.") % {"span": say.span(params, "at_least_m", "at_most_m")}


def _diameter(params: Params, say: Saying) -> str:
    return _("Loop diameter %(span)s.") % {"span": say.span(params, "from_m", "to_m")}


def _height(params: Params, say: Saying) -> str:
    edge = _("bottom") if params["edge"] == "bottom" else _("top")
    datum = {
        "ground": _("the ground"),
        "surface": _("the first surface beneath"),
        "water": _("the water"),
    }[params["datum"]]
    said = {"edge": edge, "datum": datum, "span": say.span(params, "from_m", "to_m")}
    return _("The loop’s %(edge)s above %(datum)s: %(span)s.") % said


def _part(params: Params, say: Saying) -> str:
    return _("It must have: %(part)s.") % {"part": label_of("part_role", params["role"])}


def _strength(params: Params, say: Saying) -> str:
    least, most = params.get("at_least_n"), params.get("at_most_n")
    said = {
        "part": label_of("part_role", params["role"]),
        "low": say.limit(least, "load"),
        "high": say.limit(most, "load"),
    }
    if most is None:
        return _("%(part)s: holds at least %(low)s.") % said
    if least is None:
        return _("%(part)s: gives way at %(high)s at most.") % said
    return _("%(part)s: gives way between %(low)s and %(high)s.") % said


def _setback(params: Params, say: Saying) -> str:
    far = say.limit(params["at_least_m"], "distance")
    feature = label_of("feature", params["feature"])
    return _("At least %(far)s from: %(feature)s.") % {"far": far, "feature": feature}


def _hours(params: Params, say: Saying) -> str:
    ends = {"from": say.time(params["from"]), "to": say.time(params["to"])}
    return _("No tending from %(from)s to %(to)s.") % ends


def _report(params: Params, say: Saying) -> str:
    said = {"n": f"{params['hours']:g}"}
    if params["of"] == "non_target":
        return _("A non-target animal is reported within %(n)s hours.") % said
    return _("Every catch is reported within %(n)s hours.") % said


def _filed(params: Params, say: Saying) -> str:
    return _("The harvest report is filed by %(day)s.") % {"day": say.day(params["on"])}


def _of_catch(params: Params, say: Saying) -> str:
    n = int(params["days"])
    text = (
        ngettext("Sealed within %(n)s day of catch.", "Sealed within %(n)s days of catch.", n)
        if params["what"] == "seal"
        else ngettext("Tagged within %(n)s day of catch.", "Tagged within %(n)s days of catch.", n)
    )
    return text % {"n": n}


def _of_close(params: Params, say: Saying) -> str:
    n = int(params["days"])
    if params["what"] == "seal":
        text = ngettext(
            "Sealed within %(n)s day of the season’s close.",
            "Sealed within %(n)s days of the season’s close.",
            n,
        )
    else:
        text = ngettext(
            "Tagged within %(n)s day of the season’s close.",
            "Tagged within %(n)s days of the season’s close.",
            n,
        )
    return text % {"n": n}


def _sample(params: Params, say: Saying) -> str:
    n = int(params["days"])
    text = ngettext(
        "Handed in within %(n)s day of catch: %(what)s.",
        "Handed in within %(n)s days of catch: %(what)s.",
        n,
    )
    return _to_office(text % {"n": n, "what": label_of("sample", params["sample"])}, params)


def _sample_of_close(params: Params, say: Saying) -> str:
    n = int(params["days"])
    text = ngettext(
        "Handed in within %(n)s day of the season’s close: %(what)s.",
        "Handed in within %(n)s days of the season’s close: %(what)s.",
        n,
    )
    return _to_office(text % {"n": n, "what": label_of("sample", params["sample"])}, params)


def _to_office(text: str, params: Params) -> str:
    office = params.get("office", "").rstrip(".")
    return " ".join([text, _("To: %(office)s.") % {"office": office}]) if office else text


def _skills(params: Params, say: Saying) -> str:
    return _("Only who is signed off for: %(codes)s.") % {"codes": ", ".join(params["skills"])}


def _watched(params: Params, say: Saying) -> str:
    how = label_of("supervision", params["how"])
    return _("Without the sign-off: supervised (%(how)s).") % {"how": how}


def _may(params: Params, say: Saying) -> str:
    deeds = {"tend": _("tend"), "kill": _("kill"), "carry": _("carry"), "tag": _("tag")}
    may = ", ".join(word for code, word in deeds.items() if params.get(code))
    text = _("Under another’s licence one may: %(deeds)s.") % {"deeds": may or _("nothing")}
    if paper := params.get("paper"):
        text = " ".join([text, _("With this paper: %(paper)s.") % {"paper": paper.rstrip(".")}])
    return text


ASKS: dict[tuple[str, str], Callable[[Params, Saying], str]] = {
    ("device", "forbidden"): lambda params, say: _("Such a device may not be set there."),
    ("device", "jaw_spread"): _jaw_spread,
    ("loop", "diameter"): _diameter,
    ("loop", "height"): _height,
    ("part", "required"): _part,
    ("part", "strength"): _strength,
    ("tag", "required"): lambda params, say: _("The device bears its owner’s tag."),
    ("bait", "not_in_view"): lambda params, say: _("No bait in view from above."),
    ("setback", "from_feature"): _setback,
    ("tending", "forbidden_hours"): _hours,
    ("report", "within_hours"): _report,
    ("report", "by_date"): _filed,
    ("seal", "of_catch"): _of_catch,
    ("seal", "of_close"): _of_close,
    ("sample", "of_catch"): _sample,
    ("sample", "of_close"): _sample_of_close,
    ("skill", "required"): _skills,
    ("supervision", "while_learning"): _watched,
    ("agent", "may"): _may,
}
