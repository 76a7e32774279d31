"""Acts as phones once wrote them are read for ever: a queue may have lain in a drawer for years.

shipped.jsonl holds the very texts, a line an act, as a browser kept and sent them. A new version of
a body adds lines; none is ever changed or taken away.
"""

import re
from pathlib import Path

from trapline.record import envelope
from trapline.record.kinds import KINDS, kind_of

SHIPPED = (Path(__file__).parent / "shipped.jsonl").read_text(encoding="utf-8").splitlines()
SCRIPTS = Path(__file__).parents[2] / "static" / "phone"


def test_every_text_that_was_ever_shipped_is_still_read() -> None:
    for text in SHIPPED:
        letter = envelope.parse(text.encode())
        kind_of(letter.kind, letter.version).read(letter.body, letter.version)


def test_each_kind_of_act_that_the_phone_makes_is_there_in_each_version() -> None:
    script = (SCRIPTS / "deeds.js").read_text(encoding="utf-8")
    made = set(re.findall(r'(?:keepAct\(|kind: )"(\w+)"', script))
    there = {(one.kind, one.version) for one in map(envelope.parse, map(str.encode, SHIPPED))}
    assert {"log_check", "correct_check", "animal_waiting", "attach_photo"} < made
    assert there == {(kind, version) for kind in made for version in KINDS[kind].bodies}
