"""What happens beside the rounds: readings, mending, corrections, a hand-over, the last hour."""

from datetime import datetime, timedelta

from trapline.demo import cast
from trapline.demo.gear import KINDS
from trapline.demo.story.animals import alarm
from trapline.demo.story.book import Book
from trapline.demo.story.deeds import Ref, member
from trapline.demo.story.stands import Device, Stand
from trapline.demo.story.visits import check_body

HANDED = ("corin", "anselm", 2, 25)  # from, to, how many sets, on which day
SMALL_HANDED = ("elof", "dagny", 1, 40)
CORRECTED = (9, 23, 36, 42)
WITHDRAWN = (17, 39)
DISPATCHER_FROM = 20
DAYLIGHT = (450, 1170)  # minutes between which somebody may be out
LATE_SETS = 3
ALARM_AGO = timedelta(minutes=38)


def plan(book: Book, *, small: bool) -> None:
    """Which sets are pulled, moved or lost on which day, and which ones the story ends with."""
    chance, season = book.chance, book.season
    ends_with = _students_holding(book)
    book.alarmed = alarmed = ends_with[:1]
    late = ends_with[1 : 1 + LATE_SETS]
    others = [stand for stand in book.stands if stand not in alarmed + late]
    chosen = chance.some(others, 3 if small else 10)
    first = season.first_day + (5 if small else 8)
    for turn, stand in enumerate(chosen):
        day = int(chance.between(first, season.today - 3))
        if turn == 0 and not small:
            continue  # kept for the lost one
        if turn % 3 == 1:
            stand.move_on = day
        else:
            stand.pull_on = day
    if not small:
        lost = next((s for s in others if s.holding), chosen[0])
        lost.lose_on, lost.pull_on, lost.move_on = season.first_day + 24, None, None
    for stand in alarmed + late:
        stand.kept = True
    for stand in alarmed:
        stand.left_from = season.now - ALARM_AGO * 2
    for stand in late:
        stand.left_from = season.now - timedelta(hours=30)


def _students_holding(book: Book) -> list[Stand]:
    """Sets that hold alive and belong to students who may not dispatch."""
    return [
        stand
        for stand in book.stands
        if stand.holding and not cast.BY_KEY[stand.who].leads and stand.who not in book.signed
    ]


def readings(book: Book, day: int) -> None:
    """Snow every second morning, ice and air once a week, by who is first on the line."""
    lines = sorted({stand.line for stand in book.stands})
    for line in lines:
        holder = cast.LINES[line].holder
        at = book.season.at(day, cast.BY_KEY[holder].starts - 25)
        if at >= book.season.now or day < book.season.first_day:
            continue
        what = ["snow_depth_m"] if day % 2 == 0 else []
        if day % 7 == 3:
            what += ["air_c"] + (["ice_m"] if line != 1 else [])
        for name in what:
            value = book.season.weather(at, "snow_m" if name == "snow_depth_m" else name)
            body = {"reading": book.new_id(at), "line": Ref("line", str(line)), "what": name,
                    "value": round(value, 2)}  # fmt: skip
            book.say(holder, at, "take_reading", body)


def evening(book: Book, day: int, *, small: bool) -> None:
    """After supper: devices are mended, mistakes owned up to, once a set changes hands."""
    at = book.season.at(day, 1145)
    if at >= book.season.now:
        return
    if day % 4 == 0 or day == book.season.today:
        for mending in book.mending:
            _mend(book, mending.line, mending.device, at)
        book.mending.clear()
    if day in CORRECTED:
        _correct(book, day)
    if day in WITHDRAWN:
        _withdraw(book, day)
    giver, taker, count, on_day = SMALL_HANDED if small else HANDED
    if day == on_day:
        then = at + timedelta(minutes=20)
        theirs = [stand for stand in book.mine(giver, day) if not stand.kept]
        for stand in theirs[:count]:
            body = {"set": stand.id, "to": member(taker)}
            book.say(cast.LINES[stand.line].holder, then, "hand_over", body)
            stand.who, then = taker, then + timedelta(minutes=1)


def _mend(book: Book, line: int, device: Device, at: datetime) -> None:
    """A new cable; lock and swivel are used again."""
    parts = [
        {"part": part, "kind": Ref("part_kind", key)} for key, part in _mended(book, device, at)
    ]
    body = {"device": device.id, "kind": Ref("kind", device.kind), "mark": device.mark,
            "parts": parts}  # fmt: skip
    book.say(cast.LINES[line].holder, at, "build_device", body)
    book.shop.spares.setdefault((line, device.kind), []).append(device)


def _mended(book: Book, device: Device, at: datetime) -> list[tuple[str, object]]:
    for key, (_count, after) in KINDS[device.kind].built.items():
        if after == "spent":
            device.parts[key] = [book.new_id(at) for _ in device.parts[key]]
    return [
        (key, part)
        for key, (_count, after) in KINDS[device.kind].built.items()
        if after != "stays"
        for part in device.parts[key]
    ]


def _correct(book: Book, day: int) -> None:
    """A student's look was written down wrong; the evening it is said as it was."""
    found = _looks(book, day)
    if not found:
        return
    number, _stand = found[0]
    deed = book.deeds[number]
    wrong = deed.body | {"found": "damaged", "note": "", "done": ["left"]}
    book.deeds[number] = type(deed)(deed.received_at, deed.at, deed.by, deed.kind, wrong)
    right = deed.body | {"check": book.new_id(deed.at), "note": "Tapped the wrong line."}
    at = book.season.at(day, 1160)
    body = {"corrects": deed.body["check"], "check": right}
    book.say(deed.by, at, "correct_check", body)


def _withdraw(book: Book, day: int) -> None:
    """A look was put down for the set next to it; the evening that one is taken back."""
    for number, stand in _looks(book, day):
        deed = book.deeds[number]
        seen = {d.body["set"] for d in book.deeds if d.kind == "log_check"
                and book.season.day_of(d.at) == day}  # fmt: skip
        other = next(
            (s for s in book.mine(deed.by, day) if s.id not in seen and s is not stand), None
        )
        if other is None:
            continue
        at = deed.at + timedelta(minutes=1)
        said = {"found": "in_order", "done": ["left"]}
        body = check_body(book, other, at, deed.by, said)
        book.say(deed.by, at, "log_check", body, deed.received_at)
        back = {"corrects": body["check"], "withdraw": True}
        book.say(deed.by, book.season.at(day, 1165), "correct_check", back)
        return


def _looks(book: Book, day: int) -> list[tuple[int, Stand]]:
    """A day's looks of students that found everything in order, left as it was, still theirs."""
    by_id = {stand.id: stand for stand in book.stands}
    return [
        (number, by_id[deed.body["set"]])
        for number, deed in enumerate(book.deeds)
        if deed.kind == "log_check"
        and deed.body["found"] == "in_order"
        and deed.body["done"] == ["left"]
        and book.season.day_of(deed.at) == day
        and not cast.BY_KEY[deed.by].leads
        and by_id[deed.body["set"]].who == deed.by
        and by_id[deed.body["set"]].last == deed.at
    ]


def last_hour(book: Book) -> None:
    """An animal waits as the story reaches the present."""
    season = book.season
    (stand,) = book.alarmed
    at = season.now - ALARM_AGO
    if not DAYLIGHT[0] <= season.minutes_of(at) <= DAYLIGHT[1]:
        # By night: found on the last round before it, and nobody could come yet.
        day = season.day_of(at) - (season.minutes_of(at) < DAYLIGHT[0])
        at = season.at(day, DAYLIGHT[1] - 20)
    at = max(at, stand.last + timedelta(minutes=20))
    alarm(book, stand, at, stand.who, stand.species, alive=True)
