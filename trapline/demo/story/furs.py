"""After the catch: one evening a week each licence's holder works the pelts; some meat is eaten."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from trapline.demo import cast
from trapline.demo.story.book import Book
from trapline.demo.story.deeds import member

WEEK, EVENING = 7, 1205  # the fifth day of each week, after supper
BUYER = "Fur buyer of the valley (invented)"
OFFICE = "Quillback Wildlife Office (invented)"
HOUSEHOLD = "The cook’s household (invented)"
PRICE_CAD = {"marten": "52.00", "lynx": "118.00", "mink": "11.50", "red_fox": "24.00",
             "coyote": "45.00", "otter": "38.00"}  # fmt: skip
# Boned meat of an animal, kg; whose meat the team eats. Invented.
EATEN_KG = {"beaver": 6.2, "muskrat": 0.45, "snowshoe_hare": 0.6}
NEXT = {"": "skinned", "skinned": "stretched", "stretched": "dried", "dried": "graded"}
SAMPLED = ("lynx", "otter")
TAKEN = ("dispatched", "found_dead")
UNSAID = 2  # the newest, of which nobody has said yet where they are


@dataclass
class Kept:
    """An animal that a licence's holder has to do with."""

    id: Any
    species: str
    found_by: str
    heard_at: datetime
    pelt: str = ""


def weeks(book: Book) -> None:
    """Tell of every evening of the season. Called when all that was found has been told."""
    season = book.season
    for number, line in enumerate(cast.LINES):
        kept = _animals(book, number)
        for day in range(season.first_day, season.today + 1):
            at = season.at(day, EVENING)
            if day % WEEK == 5 and at < season.now:
                _evening(book, line.holder, [one for one in kept if one.heard_at < at], at)
    _last_evening(book)


def _last_evening(book: Book) -> None:
    """Before the story ends holders say where what was taken since lies; the newest are left over.

    Whole in the shed what bears their numbers; what is not theirs to keep goes to the office.
    """
    at = book.season.at(book.season.today - 1, EVENING + 30)
    moved = {
        one for deed in book.deeds if deed.kind == "move_pelts" for one in deed.body["animals"]
    }
    holder_of = {stand.id: cast.LINES[stand.line].holder for stand in book.stands}
    still = sorted(
        (deed.received_at, holder_of[deed.body["set"]], "site_tag" in catch, catch["animal"])
        for deed in book.deeds
        if deed.kind == "log_check"
        for catch in deed.body.get("catches", ())
        if catch["fate"] in TAKEN and catch["animal"] not in moved
    )
    groups: dict[tuple[str, bool], list[Any]] = {}
    for heard_at, holder, theirs, animal in still[:-UNSAID]:
        if heard_at < at:
            groups.setdefault((holder, theirs), []).append(animal)
    for (holder, theirs), animals in groups.items():
        body: dict[str, Any] = {"animals": animals, "state": "whole", "place": "cold room"}
        if not theirs:
            body = {"animals": animals, "state": "handed_in", "to": OFFICE,
                    "reference": "receipt, invented"}  # fmt: skip
        book.say(holder, at, "move_pelts", body)


def _animals(book: Book, line: int) -> list[Kept]:
    line_of = {stand.id: stand.line for stand in book.stands}
    return [
        Kept(catch["animal"], catch["species"].key, deed.by, deed.received_at)
        for deed in book.deeds
        if deed.kind == "log_check" and line_of[deed.body["set"]] == line
        for catch in deed.body.get("catches", ())
        if "site_tag" in catch
    ]


def _evening(book: Book, holder: str, kept: list[Kept], at: datetime) -> None:
    for one in kept:
        if not one.pelt and one.species in EATEN_KG:
            at = _meat(book, holder, one, at)
        if not one.pelt and one.species in SAMPLED:
            at = _sample(book, holder, one, at)
    groups: dict[str, list[Kept]] = {}
    for one in kept:
        if one.pelt in NEXT:
            groups.setdefault(NEXT[one.pelt], []).append(one)
        elif one.pelt == "graded" and one.species in PRICE_CAD:
            groups.setdefault(f"sold {one.species}", []).append(one)
    for state, theirs in groups.items():
        at += timedelta(minutes=1)
        body: dict[str, Any] = {"animals": [one.id for one in theirs]}
        if state.startswith("sold"):
            body |= {"state": "sold", "to": BUYER, "price": PRICE_CAD[theirs[0].species],
                     "currency": "CAD"}  # fmt: skip
        else:
            body |= {"state": state, "place": "fur shed"}
        book.say(holder, at, "move_pelts", body)
        for one in theirs:
            one.pelt = body["state"]


def _meat(book: Book, holder: str, one: Kept, at: datetime) -> datetime:
    """Looked at when it was opened: three in four are fit, and are eaten."""
    fit = book.chance.yes(0.75)
    kg = round(EATEN_KG[one.species] * book.chance.between(0.8, 1.2), 2)
    said: dict[str, Any] = {"animal": one.id, "fit": fit}
    said |= {"organs": "sound", "edible_kg": kg} if fit else {
        "organs": "suspect", "why": "White spots on the liver."
    }  # fmt: skip
    book.say(holder, at + timedelta(minutes=1), "judge_meat", said)
    if not fit:
        return at + timedelta(minutes=1)
    whom: dict[str, Any] = (
        {"member": member(one.found_by)} if book.chance.yes(0.6) else {"household": HOUSEHOLD}
    )
    body = {"animal": one.id, "use": "eaten", "kg": round(kg * 0.7, 2), **whom}
    book.say(holder, at + timedelta(minutes=2), "share_meat", body)
    return at + timedelta(minutes=2)


def _sample(book: Book, holder: str, one: Kept, at: datetime) -> datetime:
    """The office asks for the carcass of a lynx or an otter; every second one is brought in."""
    sample = book.new_id(at)
    body = {"sample": sample, "animal": one.id, "what": "carcass",
            "label": f"K-{str(sample)[-4:]}"}  # fmt: skip
    book.say(holder, at + timedelta(minutes=1), "take_sample", body)
    if book.chance.yes(0.5):
        given = {"samples": [sample], "to": OFFICE, "reference": "receipt, invented"}
        book.say(holder, at + timedelta(minutes=2), "hand_in_samples", given)
    return at + timedelta(minutes=2)
