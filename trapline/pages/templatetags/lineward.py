"""How moments, spans, quantities and codes are written on a page."""

from datetime import date, datetime, timedelta
from functools import lru_cache
from typing import Any
from zoneinfo import ZoneInfo

from django import template
from django.utils.formats import date_format
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import get_language, gettext_lazy
from django.utils.translation import gettext as _

from trapline.ground import words
from trapline.ground.clock import now
from trapline.ground.errors import Problem
from trapline.ground.units_shown import Quantity, shown, unit_of
from trapline.ground.words_of_cautions import CAUTIONS, LOCAL, cautions_of
from trapline.land import tiles
from trapline.lines.words import Age, Sex
from trapline.wording.vocabulary import label_of
from trapline.wording.zones import zone_name

register = template.Library()


def day_words(day: date, today: date) -> str:
    """Tue 6 Jan, with the year when it is another than today's."""
    written = _day(day, get_language())
    return written if day.year == today.year else f"{written} {day.year}"


@lru_cache(maxsize=512)
def _day(day: date, language: str | None) -> str:
    # A page names few days many times, and formatting one takes longer than looking it up.
    return date_format(day, "D j M")


def local_now(tz: str) -> datetime:
    """This moment on the clock of a zone."""
    return now().astimezone(ZoneInfo(tz))


def moment_words(at: datetime, tz: str) -> str:
    """A moment on the clock of a zone, without the zone's name: Tue 6 Jan 09:12."""
    local = at.astimezone(ZoneInfo(tz))
    return f"{day_words(local.date(), local_now(tz).date())} {local:%H:%M}"


def due_words(at: datetime | None, tz: str) -> str:
    """A due moment. Midnight is written as the end of the day before: one has until then."""
    if at is None:
        return _("no rule sets a time")
    local, today = at.astimezone(ZoneInfo(tz)), local_now(tz).date()
    if (local.hour, local.minute, local.second) == (0, 0, 0):
        return _("end of %(day)s") % {"day": day_words(local.date() - timedelta(days=1), today)}
    told = {"day": day_words(local.date(), today), "time": f"{local:%H:%M}"}
    return _("before %(day)s %(time)s") % told


def _marked_up(text: str, at: datetime, tz: str) -> SafeString:
    """The words with the instant behind them and the zone's name beside them."""
    local = at.astimezone(ZoneInfo(tz))
    return format_html(
        '<time datetime="{}">{}</time> <abbr title="{}">{}</abbr>',
        local.isoformat(timespec="seconds"),
        text,
        tz,
        zone_name(local),
    )


@register.simple_tag
def moment(at: datetime | None, tz: str) -> SafeString | str:
    """A moment on the clock of a zone, with the zone's short name and its full one behind it."""
    return "" if at is None else _marked_up(moment_words(at, tz), at, tz)


@register.simple_tag
def due(at: datetime | None, tz: str) -> SafeString | str:
    """A due moment with its zone."""
    return due_words(at, tz) if at is None else _marked_up(due_words(at, tz), at, tz)


def span_words(length: timedelta) -> str:
    """A length of time in its two largest units, cut and not rounded up: 2 d 4 h, 5 h 20 min."""
    minutes = int(abs(length).total_seconds() // 60)
    days, minutes = divmod(minutes, 24 * 60)
    hours, minutes = divmod(minutes, 60)
    if days:
        return _("%(d)d d %(h)d h") % {"d": days, "h": hours}
    if hours:
        return _("%(h)d h %(m)d min") % {"h": hours, "m": minutes}
    return _("%(m)d min") % {"m": minutes}


@register.simple_tag
def span(length: timedelta) -> str:
    """A length of time in words."""
    return span_words(length)


@register.simple_tag
def left(at: datetime | None, from_moment: datetime) -> str:
    """How long until a moment, or how late it is."""
    if at is None:
        return ""
    words_of = {"span": span_words(at - from_moment)}
    return _("in %(span)s") % words_of if at > from_moment else _("%(span)s late") % words_of


@register.simple_tag
def ago(at: datetime | None, from_moment: datetime) -> str:
    """How long ago a moment was."""
    return "" if at is None else _("%(span)s ago") % {"span": span_words(from_moment - at)}


@register.simple_tag
def sex_and_age(sex: str, age: str) -> str:
    """An animal's sex and age class in words; what nobody noted is said once."""
    sexed, aged = sex != Sex.UNKNOWN, age != Age.UNKNOWN
    if sexed and aged:
        return f"{label_of('sex', sex)}, {label_of('age', age).lower()}"
    if sexed:
        return _("%(sex)s, age not noted") % {"sex": label_of("sex", sex)}
    if aged:
        return _("%(age)s, sex not noted") % {"age": label_of("age", age)}
    return _("sex and age not noted")


@register.filter
def percent(share: float) -> str:
    """A share of one, in per cent: whole from ten on, one decimal below."""
    shown_share = 100 * share
    return _("%(n)s %%") % {
        "n": f"{shown_share:.0f}" if shown_share >= 9.95 else f"{shown_share:.1f}"
    }


@register.filter
def offset_words(seconds: int) -> str:
    """When somebody is told, counted from the moment a duty falls due: 4 h 0 min before."""
    if seconds == 0:
        return _("told when it falls due")
    said = {"span": span_words(timedelta(seconds=seconds))}
    return _("told %(span)s before") % said if seconds < 0 else _("told %(span)s after") % said


@register.simple_tag(takes_context=True)
def quantity(context: dict[str, Any], value: float | None, what: Quantity) -> str:
    """An SI value in the units of whoever reads it."""
    user = getattr(context.get("request"), "user", None)
    return shown(value, what, getattr(user, "units", "metric"))


@register.simple_tag(takes_context=True)
def way(context: dict[str, Any], metres: float) -> str:
    """A length along the ground: short ones as distances, long ones in km or miles."""
    return quantity(context, metres, "way" if metres >= 1000 else "distance")


@register.simple_tag(takes_context=True)
def away(context: dict[str, Any], metres: float, accuracy_m: float | None) -> str:
    """How far a phone was from its set, and how well it knew."""
    far = way(context, metres)
    if accuracy_m is None:
        return _("The phone was %(far)s from the set.") % {"far": far}
    within = way(context, accuracy_m)
    return _("The phone was %(far)s from the set, to within %(within)s.") % {
        "far": far,
        "within": within,
    }


@register.simple_tag(takes_context=True)
def area(context: dict[str, Any], square_metres: float) -> str:
    """An area in hectares or acres."""
    return quantity(context, square_metres, "area")


@register.filter
def told(problem: Problem) -> str:
    """A problem's sentence."""
    return words.sentence(problem)


@register.inclusion_tag("parts/cautions.html")
def cautions(act: str, of: str = "", device_class: str = "", placement: str = "") -> dict[str, Any]:
    """The cautions of an act as a margin note; `of`: only these codes, with spaces between."""
    found = cautions_of(act, device_class=device_class, placement=placement, of=of.split())
    return {"cautions": found, "local": LOCAL}


@register.simple_tag
def record_caution() -> Any:
    """What is said to whoever is about to write."""
    return CAUTIONS["record"].text


@register.filter
def word(code: str | None, vocabulary: str) -> str:
    """A stored code in words: {{ set.placement|word:"placement" }}."""
    return label_of(vocabulary, code or "")


@register.filter
def act_word(kind: str) -> str:
    """A kind of act in words."""
    return words.act_words(kind)


@register.filter
def flag_word(flag: str) -> str:
    """A flag on a check in words."""
    return words.flag_words(flag)


NOTICE_ERRORS = {"no_address": gettext_lazy("They have no e-mail address here.")}


@register.filter
def notice_error(error: str) -> str:
    """Why a notice could not be sent: our own code in words, a mail server's answer as it is."""
    return str(NOTICE_ERRORS.get(error, error))


@register.filter
def coordinates(place: tuple[float, float] | None) -> str:
    """(lat, lon) in degrees, WGS 84, to five decimals (about a metre)."""
    return "" if place is None else f"{place[0]:.5f}, {place[1]:.5f}"


@register.simple_tag
def tile_variants() -> str:
    """The map's variants, for its script to choose from."""
    return " ".join(tiles.tile_variants())


@register.simple_tag
def tile_extent() -> str:
    """What the map's tiles cover, for its script."""
    return tiles.tile_extent()


@register.simple_tag(takes_context=True)
def metres_in_unit(context: dict[str, Any]) -> str:
    """How many metres the reader's unit of distance has, for the script that fills it in."""
    user = getattr(context.get("request"), "user", None)
    return str(unit_of("distance", getattr(user, "units", "metric")).si)
