"""The team's store: spare parts on shelves, snares in hand, one lent; a list for the next loop."""

from datetime import timedelta

from trapline.demo.gear import PARTS
from trapline.demo.story.before import built
from trapline.demo.story.book import Book
from trapline.demo.story.deeds import Ref, member
from trapline.demo.story.settle import bought

SHELVED = {"cable": (7, "Cabin, shelf 2"), "trigger": (5, "Cabin, shelf 3")}
FEWEST = {"cable": 12, "trigger": 4}  # in stock; of cables there are fewer
IN_HAND, WANTED = 4, 4  # snares ready in store; how many the list asks for beside its spare cables
STORED, HOLDER, CARRIER = "Cabin, left wall", "ivo", "dagny"
STEP = timedelta(seconds=30)


def store(book: Book) -> None:
    """Told last, so that chance falls in the season as it did without it."""
    season = book.season
    at = season.at(season.first_day - 8, 1140)
    loose = {}
    for key, (count, place) in SHELVED.items():
        at += STEP
        loose[key] = [book.new_id(at) for _ in range(count)]
        parts = [{"part": part} for part in loose[key]]
        body = {"kind": Ref("part_kind", key), "parts": parts, "place": place}
        book.say("aud", at, "stock_parts", body)
    snares = [book.shop.device("snare", at) for _ in range(IN_HAND)]
    for number, one in enumerate(snares):
        at += STEP
        book.say(HOLDER, at, "build_device", built(one))
        kept = {"device": one.id, "how": "store", "place": STORED}
        if number == IN_HAND - 1:
            kept = {"device": one.id, "how": "lent", "member": member(CARRIER), "place": "at home"}
        book.say(HOLDER, at + STEP / 2, "keep_device", kept)
    for number, (key, fewest) in enumerate(FEWEST.items()):
        said = {"kind": Ref("part_kind", key), **bought(PARTS[key]), "fewest": fewest}
        book.say("aud", season.at(season.today - 4, 1140) + number * STEP, "name_part_kind", said)
    listed = min(season.at(season.today - 1, 1150), season.now - timedelta(minutes=30))
    pick = {
        "pick": book.new_id(listed),
        "name": "Second loop, on foot",
        "carrier": member(CARRIER),
        "note": "Take the setting tools and the ice poles along.",
        "wanted": [{"kind": Ref("kind", "snare"), "devices": WANTED, "spare_kits": 2}],
        "devices": [one.id for one in snares[: IN_HAND - 1]],
        "parts": loose["cable"][:2],
    }
    book.say(HOLDER, listed, "pick_gear", pick)
