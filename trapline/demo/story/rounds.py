"""A person's day: whether they go out, in which order and when they reach their sets.

They know when each set is due and start early enough for the first of them; a set that can wait
until tomorrow is sometimes left for it. Who starts earlier each day for a 24-hour rule ends up in
the dark, and then goes round twice on one day.
"""

from collections.abc import Iterable
from datetime import datetime, timedelta

from trapline.demo import cast
from trapline.demo.story.book import Book
from trapline.demo.story.stands import Stand
from trapline.demo.story.visits import check_body, visit

HOLDING_H, OTHER_H = 24, 48  # the strictest rules of the demo's rulebook
EARLIEST, AGAIN_FROM, SECOND_ROUND = 465.0, 50.0, 875.0  # minutes
STORMS = (
    "storm: nobody could see the next tree", "storm: drifts over the trail, turned back",
    "wind: trees coming down on the trail",
)  # fmt: skip
Stops = list[tuple[Stand, datetime]]


def day_of(book: Book, day: int, person: cast.Person) -> None:
    """One person's day in the field."""
    mine = book.mine(person.key, day)
    if not mine:
        return
    if day in book.season.storms:
        _storm(book, day, person, mine)
    elif day < book.season.today and not book.chance.yes(person.goes):
        _stayed_home(book, day, person, mine)
    else:
        _round(book, day, person, mine)


def _round(book: Book, day: int, person: cast.Person, mine: list[Stand]) -> None:
    legs = _legs(book, person, mine)
    start = person.starts + book.chance.around(0, 9)
    first = min(start, _latest_start(book, day, mine, legs))
    early = max(EARLIEST, first)
    stops: Stops = []
    for stand, leg in zip(mine, legs, strict=True):
        if stand.holding or not _can_wait(book, day, person, stand, leg):
            stops.append((stand, book.season.at(day, early + leg)))
    _walk(book, stops, person)
    if early < person.starts - AGAIN_FROM:
        again = max(SECOND_ROUND, early + legs[-1] + 45) + book.chance.between(0, 30)
        held = [stand for stand in mine if stand.holding]
        _walk(book, _after(book, day, again, person, held), person)


def _legs(book: Book, person: cast.Person, mine: list[Stand]) -> list[float]:
    """Minutes from the first set to each, with the work on the way."""
    pace = cast.LINES[mine[0].line].km_h * 1000 / 60
    legs, now = [], 0.0
    for before, stand in zip([mine[0], *mine], mine, strict=False):
        now += abs(stand.place.at_m - before.place.at_m) / pace
        legs.append(now)
        now += book.chance.between(5, 11)
    return legs


def _due(stand: Stand) -> datetime:
    return stand.last + timedelta(hours=HOLDING_H if stand.holding else OTHER_H)


def _latest_start(book: Book, day: int, mine: list[Stand], legs: Iterable[float]) -> float:
    """The last minute at which one can start and be in time everywhere, with a little to spare."""
    midnight = book.season.at(day, 0)
    return min(
        (_due(stand) - midnight) / timedelta(minutes=1) - leg - book.chance.between(3, 15)
        for stand, leg in zip(mine, legs, strict=True)
    )


def _can_wait(book: Book, day: int, person: cast.Person, stand: Stand, leg: float) -> bool:
    """Whether tomorrow is early enough, without leaving much before the usual time."""
    tomorrow = book.season.at(day + 1, person.starts - 40 + leg)
    return _due(stand) > tomorrow and not book.chance.yes(0.15)


def _after(book: Book, day: int, minutes: float, person: cast.Person, stands: list[Stand]) -> Stops:
    """The same stands at a later hour."""
    if not stands:
        return []
    legs = _legs(book, person, stands)
    return [
        (stand, book.season.at(day, minutes + leg)) for stand, leg in zip(stands, legs, strict=True)
    ]


def _walk(book: Book, stops: Stops, person: cast.Person) -> None:
    for stand, at in stops:
        if at >= book.season.now - timedelta(minutes=4):
            break
        if not stand.active or (stand.busy_until is not None and at < stand.busy_until):
            continue
        if stand.left_from is not None and at >= stand.left_from:
            continue
        if not book.chance.yes(person.passes):
            visit(book, stand, at, person.key)
    book.home()


def _stayed_home(book: Book, day: int, person: cast.Person, mine: list[Stand]) -> None:
    """The instructor sometimes goes to what holds alive in a student's place."""
    if person.instructor is None or not book.chance.yes(0.6):
        return
    teacher = cast.BY_KEY[person.instructor]
    held = [stand for stand in mine if stand.holding]
    _walk(book, _after(book, day, 800 + book.chance.between(0, 60), teacher, held), teacher)


def _storm(book: Book, day: int, person: cast.Person, mine: list[Stand]) -> None:
    """Most stay in and say so; some turn back halfway. What was not reached is written down."""
    season, chance = book.season, book.chance
    reached = 0 if chance.yes(0.6) else int(chance.between(0, len(mine)))
    stops = _after(book, day, person.starts + chance.around(0, 15), person, mine)
    _walk(book, stops[:reached], person)
    reason = chance.one_of(dict.fromkeys(STORMS, 1.0))
    at = (stops[reached][1] if reached else season.at(day, 640)) + timedelta(minutes=10)
    for stand in mine[reached:]:
        if stand.active and _due(stand) < season.at(day + 1, person.starts):
            said = {"found": "not_reached", "done": ["left"], "reason": reason}
            body = check_body(book, stand, at, person.key, said)
            for seen_there in ("position", "accuracy_m", "snow_depth_m"):
                body.pop(seen_there, None)
            book.note(person.key, at, "log_check", body)
            at += timedelta(seconds=50)
    book.home()
