"""A rule as a sentence: its form, and what it applies to."""

from collections.abc import Mapping
from datetime import UTC, date, datetime
from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from trapline.ground.units_shown import shown
from trapline.rulebook.models import Rule
from trapline.wording.ask_words import ASKS, Saying
from trapline.wording.vocabulary import label_of


def rule_sentence(rule: Rule, units: str = "metric") -> str:
    """What the rule asks, in one sentence."""
    params: Mapping[str, Any] = rule.params
    if rule.matter == "check":
        return _check(rule.form, params, units)
    if rule.matter == "season":
        return _season(rule.form, params)
    if rule.matter == "limit":
        return _limit(rule.form, params)
    return ASKS[rule.matter, rule.form](params, Saying(units, _time, _month_day))


def applies_words(rule: Rule, species: Mapping[str, str]) -> str:
    """What a rule applies to; empty lists mean all. species: names by code."""
    parts = [
        *(label_of("device_class", code) for code in rule.device_classes),
        *(label_of("action", code) for code in rule.actions),
        *(label_of("placement", code) for code in rule.placements),
        *(_("zone %(code)s") % {"code": code} for code in rule.zone_codes),
        *(species.get(code, code) for code in rule.species_codes),
        *(_("licence kind %(kind)s") % {"kind": kind} for kind in rule.licence_kinds),
    ]
    if rule.from_day and rule.until_day:
        days = {"from": _day(rule.from_day), "until": _day(rule.until_day)}
        parts.append(_("%(from)s to %(until)s") % days)
    if rule.holds_from:
        parts.append(_("from %(moment)s") % {"moment": _moment(rule.holds_from)})
    if rule.holds_until:
        parts.append(_("until %(moment)s") % {"moment": _moment(rule.holds_until)})
    return " · ".join(parts) or _("every set")


def _check(form: str, params: Mapping[str, Any], units: str) -> str:
    if form == "within_hours":
        text = _("At most %(n)s hours after the last visit.") % {"n": _number(params["hours"])}
    elif form == "each_day":
        text = _("At least once each calendar day.")
    elif form == "every_days":
        n = int(params["days"])
        text = ngettext(
            "Good until the end of the day after the visit.",
            "Good until the end of the day that comes %(n)s days after the visit.",
            n,
        ) % {"n": n}
    elif form == "each_week":
        text = _("At least once in each calendar week.")
    elif form == "by_temperature":
        text = _temperature(params, units)
    elif form == "monitored":
        text = _(
            "A signal stands in for visits: a status every %(a)s hours; a visit within %(b)s hours "
            "after a closure or lost contact."
        ) % {"a": _number(params["status_hours"]), "b": _number(params["visit_hours"])}
    else:
        text = _("This rule asks for no visits.")
    return " ".join([text, *_times(params)])


def _times(params: Mapping[str, Any]) -> list[str]:
    told = []
    if by := params.get("by"):
        told.append(_("On the last day by %(time)s.") % {"time": _time(by)})
    if between := params.get("between"):
        ends = {"from": _time(between["from"]), "to": _time(between["to"])}
        told.append(_("A visit counts from %(from)s to %(to)s only.") % ends)
    if closed := params.get("no_tending"):
        ends = {"from": _time(closed["from"]), "to": _time(closed["to"])}
        told.append(_("No tending from %(from)s to %(to)s.") % ends)
    return told


def _temperature(params: Mapping[str, Any], units: str) -> str:
    rows = [
        _("%(from)s to %(to)s: %(n)s h")
        % {
            "from": shown(row["from_c"], "temperature", units),
            "to": shown(row["to_c"], "temperature", units),
            "n": _number(row["hours"]),
        }
        for row in params["rows"]
    ]
    text = _("By air temperature: %(rows)s.") % {"rows": "; ".join(rows)}
    limits = []
    if (below := params.get("nothing_below_c")) is not None:
        said = {"t": shown(below, "temperature", units)}
        limits.append(_("Nothing may be set below %(t)s.") % said)
    if (above := params.get("nothing_above_c")) is not None:
        said = {"t": shown(above, "temperature", units)}
        limits.append(_("Nothing may be set above %(t)s.") % said)
    return " ".join([text, *limits])


def _season(form: str, params: Mapping[str, Any]) -> str:
    def edge(name: str) -> str:
        on = params[f"{name}_on"]
        day = _month_day(on) if form == "each_year" else _date(on)
        by = params.get(f"{name}_by")
        return f"{day} {by}" if by else day

    return _("Open from %(from)s to %(to)s.") % {"from": edge("opens"), "to": edge("closes")}


def _limit(form: str, params: Mapping[str, Any]) -> str:
    of = {
        "per_person": _("each person"),
        "per_team": _("the team"),
        "per_zone": _("the zone"),
    }[form]
    within = _("a day") if params.get("within") == "day" else _("a season")
    said = {"n": params["count"], "of": of, "within": within}
    return _("At most %(n)s for %(of)s in %(within)s.") % said


def _time(value: Any) -> str:
    if isinstance(value, str):
        return value
    event = {
        "dawn": _("dawn"),
        "sunrise": _("sunrise"),
        "sunset": _("sunset"),
        "dusk": _("dusk"),
    }[value["sun"]]
    offset = int(value.get("offset_min") or 0)
    if offset:
        text = _("%(n)s min after %(event)s") if offset > 0 else _("%(n)s min before %(event)s")
        event = text % {"n": abs(offset), "event": event}
    without = {"event": event, "clock": value["otherwise"]}
    return _("%(event)s (%(clock)s where the sun has none)") % without


def _number(value: float) -> str:
    return f"{value:g}"


def _day(number: int) -> str:
    # A leap year, so that 29 February is a day.
    return date_format(date(2024, number // 100, number % 100), "j M")


def _month_day(value: str) -> str:
    return _day(int(value[:2]) * 100 + int(value[3:]))


def _moment(value: datetime) -> str:
    return f"{date_format(value.astimezone(UTC), 'j M Y H:i')} UTC"


def _date(value: str) -> str:
    return date_format(date.fromisoformat(value), "j M Y")
