"""Every word that the scripts say is there, and none is idle."""

import re
from pathlib import Path

import pytest

from trapline.phone.words import CALENDAR, SHOWING
from trapline.phone.words_of_keeping import KEEPING

SCRIPTS = Path(__file__).parents[2] / "static" / "phone"
TEXT = {path.name: path.read_text() for path in sorted(SCRIPTS.glob("*.js"))}
WORDS = {**SHOWING, **KEEPING, **CALENDAR}


def test_no_word_is_said_in_two_places() -> None:
    assert set(SHOWING) & set(KEEPING) == set()


@pytest.mark.parametrize("name", TEXT)
def test_every_word_a_script_says_is_there(name: str) -> None:
    said = set(re.findall(r'\bt\("(\w+)"', TEXT[name]))
    begun = set(re.findall(r"\bt\(`(\w+_)\$", TEXT[name]))
    assert said - set(WORDS) == set()
    assert {part for part in begun if not any(code.startswith(part) for code in WORDS)} == set()


def test_no_word_waits_for_a_script_that_says_it() -> None:
    text = "\n".join(TEXT.values())
    begun = tuple(re.findall(r"\bt\(`(\w+_)\$", text))
    idle = [code for code in WORDS if f'"{code}"' not in text and not code.startswith(begun)]
    assert idle == []


def test_the_scripts_keep_to_the_house() -> None:
    """No markup from text, no style in the markup, no long file."""
    for name, text in TEXT.items():
        assert not re.search(r"innerHTML|outerHTML|insertAdjacentHTML|document\.write", text), name
        assert not re.search(r"\beval\(|new Function|\.style\b", text), name
        assert len(text.splitlines()) <= 400, name
