"""A visit to a set: what is found there, and what is done."""

from datetime import datetime, timedelta
from typing import Any

from trapline.demo import cast
from trapline.demo.gear import REMADE
from trapline.demo.rates import DRAGGED, SIGNS
from trapline.demo.story.animals import animal
from trapline.demo.story.book import Book, Mending
from trapline.demo.story.deeds import member
from trapline.demo.story.finding import BURIED, EMPTY, NOTHING, OTHER, TARGET, look
from trapline.demo.story.stands import Stand, near

RAISE_FROM_M = 0.08  # of snow more or less, from which a loop is put right
REMARKS = (
    "Fresh track 20 m up the trail.", "Lure renewed.", "Snow knocked off the pole.",
    "Wind took the flag, tied it again.", "Fox track past the set, did not turn.",
)  # fmt: skip


def visit(book: Book, stand: Stand, at: datetime, who: str) -> None:
    """Somebody stands at the set."""
    day = book.season.day_of(at)
    if stand.lose_on is not None and day >= stand.lose_on:
        _gone(book, stand, at, who)
        return
    found = look(stand, at, book.season, book.chance, book.tally)
    if found in (TARGET, OTHER):
        if found == TARGET and stand.holding and not stand.kept and book.chance.yes(DRAGGED):
            _dragged(book, stand, at, who)
            return
        by, then, said = animal(book, stand, at, who, target=found == TARGET)
        _remade(book, stand, then, said)
        _check(book, stand, then, by, said, at_once=then != at)
        stand.last = then
        return
    said = _told(book, stand, at, found)
    if stand.pull_on is not None and day >= stand.pull_on:
        said["done"] = ["pulled"]
        said.pop("raised_to", None)
        stand.active = False
    elif stand.move_on is not None and day >= stand.move_on and found == NOTHING:
        stand.lonlat = near(book.chance, stand.lonlat, 45)
        stand.move_on = None
        said = {"found": "in_order", "done": ["moved"], "note": "Moved nearer to the track.",
                "moved_to": {"place": stand.lonlat, "accuracy_m": 6}}  # fmt: skip
    _check(book, stand, at, who, said)
    stand.last = at


def _told(book: Book, stand: Stand, at: datetime, found: str) -> dict[str, Any]:
    """What is said of a set that holds no animal."""
    snow = book.season.weather(at, "snow_m")
    if found == EMPTY:
        return {"found": "sprung_empty", "sign": book.chance.one_of(SIGNS), "done": ["remade"]}
    if found == BURIED:
        stand.snow_then = snow
        return {"found": "buried", "done": ["remade"], "note": "Dug out and set again."}
    said: dict[str, Any] = {"found": "in_order", "done": ["left"]}
    height = stand.recipe.loop_height_m
    if height is not None and abs(snow - stand.snow_then) > RAISE_FROM_M:
        stand.snow_then = snow
        said |= {"done": ["raised"], "raised_to": {"loop_height_m": height}}
    elif book.chance.yes(0.05):
        said["note"] = book.chance.one_of(dict.fromkeys(REMARKS, 1.0))
    return said


def check_body(
    book: Book, stand: Stand, at: datetime, who: str, said: dict[str, Any]
) -> dict[str, Any]:
    """A whole check: what was found, with where one stood and what lay there."""
    person, chance = cast.BY_KEY[who], book.chance
    body = {
        "check": book.new_id(at),
        "set": stand.id,
        "position": near(chance, stand.lonlat, 6),
        "accuracy_m": round(chance.between(3, 12), 1),
        **said,
    }
    if stand.placement == "land":
        body["snow_depth_m"] = round(max(0, book.season.weather(at, "snow_m")), 2)
    if person.instructor is not None and chance.yes(0.3):
        how = "in_sight" if chance.yes(0.25) else "on_call"
        body |= {"supervision": how, "supervised_by": member(person.instructor)}
    return body


def _check(
    book: Book, stand: Stand, at: datetime, who: str, said: dict[str, Any], *, at_once: bool = False
) -> None:
    body = check_body(book, stand, at, who, said)
    (book.say if at_once else book.note)(who, at, "log_check", body)


def _remade(book: Book, stand: Stand, at: datetime, said: dict[str, Any]) -> None:
    """After a catch the set is made again, or pulled when it was to be, or nothing is left."""
    day = book.season.day_of(at)
    caught = said["found"] == "animal"
    if stand.pull_on is not None and day >= stand.pull_on:
        said["done"] = ["pulled"]
        stand.active = False
        return
    said["done"] = ["remade"]
    if caught and stand.device.kind in REMADE:
        fresh = book.shop.spare(stand.line, stand.device.kind)
        book.mending.append(Mending(stand.line, stand.device))
        if fresh is None:
            said["done"] = ["pulled"]
            stand.active = False
            return
        said["new_device"] = fresh.id
        stand.device = fresh
        stand.snow_then = book.season.weather(at, "snow_m")


def _dragged_off(book: Book, stand: Stand, at: datetime, who: str, note: str) -> None:
    said = {"found": "gone", "gone_how": "dragged_off", "note": note}
    _check(book, stand, at, who, said, at_once=True)


def _dragged(book: Book, stand: Stand, at: datetime, who: str) -> None:
    """The animal went off with the device; the instructor tracks it the same day."""
    _dragged_off(book, stand, at, who, "Stake out, drag mark to the north.")
    teacher = cast.LINES[stand.line].holder
    span = min(timedelta(minutes=book.chance.between(90, 200)), (book.season.now - at) * 0.6)
    by, then, said = animal(book, stand, at + span, teacher, target=True)
    said |= {"done": ["pulled"], "note": "Found in the thicket below."}
    _check(book, stand, then, by, said, at_once=True)
    stand.active, stand.last = False, then


def _gone(book: Book, stand: Stand, at: datetime, who: str) -> None:
    """Dragged off and never found: searched three times, then closed as lost."""
    season, teacher = book.season, cast.LINES[stand.line].holder
    _dragged_off(book, stand, at, who, "Drag mark ends on the creek ice.")
    day = season.day_of(at)
    searches = ((day, 930.0, teacher), (day + 1, 690.0, who), (day + 1, 840.0, teacher))
    for when, minutes, by in searches:
        then = max(season.at(when, minutes), at + timedelta(hours=1))
        said = {"found": "gone", "gone_how": "not_found", "note": "Searched both banks."}
        _check(book, stand, then, by, said, at_once=True)
    body = {"set": stand.id, "note": "Three searches, no trace. Looked for again after the thaw."}
    book.say("aud", season.at(day + 2, 1080), "close_as_lost", body)
    stand.active = False
