"""Whatever can go wrong has a sentence, and a sentence's gaps are filled."""

import re

import pytest
from django.utils.translation import override

from tests.house import codes, rooms
from trapline.ground import words
from trapline.ground.errors import Problem
from trapline.ground.words_of_files import FILE_WORDS
from trapline.ground.words_of_imports import IMPORT_WORDS
from trapline.ground.words_of_kept import KEPT_WORDS
from trapline.ground.words_of_problems import PROBLEM_WORDS, SHAPE_WORDS
from trapline.ground.words_of_requests import REQUEST_WORDS
from trapline.record.kinds import KINDS

# Where a problem is made of a code that came from elsewhere, and whence.
PASSED_ON = {
    "trapline/ground/errors.py": "NeedsReview makes its own",
    "trapline/record/desk.py": "a constraint's name, behind constraint_",
    "trapline/record/take_rulebook.py": "a problem of the rulebook, with the path of the act",
    "trapline/record/envelope.py": "an act's problem, its field named as without an envelope",
    "trapline/api/acts.py": "the reason an act was kept with",
    "trapline/api/problems.py": "the kind of an answer, which has its sentence by the same name",
    "trapline/pages/rule_form.py": "a problem of the rulebook, at the field of its form",
    "trapline/rulebook/schema.py": "a problem of the rulebook, with its line",
}


def test_every_code_that_is_raised_has_a_sentence() -> None:
    found = codes.raised()
    assert len(found) > 60
    missing = {one.code: one.where for one in found if one.whole and not words.known(one.code)}
    assert missing == {}


def test_a_code_made_of_parts_is_one_of_a_few() -> None:
    parts = {one.code for one in codes.raised() if not one.whole}
    # desk.py hands a constraint's name on; see PASSED_ON.
    assert parts | {"constraint_"} == set(codes.MADE_OF_PARTS)


def test_a_code_from_elsewhere_comes_from_where_it_is_said_to() -> None:
    assert {place.rsplit(":", 1)[0] for place in codes.untold()} <= set(PASSED_ON)


def test_the_values_a_sentence_speaks_of_are_given() -> None:
    gaps = {
        f"{one.where} {one.code}": sorted(wanted - one.values)
        for one in codes.raised()
        if one.whole and one.values is not None
        for wanted in [_gaps(one.code)]
        if wanted - one.values
    }
    assert gaps == {}


def test_no_sentence_waits_for_a_code_that_nothing_raises() -> None:
    said = {one.code for one in codes.raised() if one.whole}
    parts = tuple(codes.MADE_OF_PARTS)
    text = "\n".join(path.read_text() for path in rooms.python_files("trapline"))
    idle = [
        code
        for code in {
            **PROBLEM_WORDS,
            **FILE_WORDS,
            **REQUEST_WORDS,
            **IMPORT_WORDS,
            **KEPT_WORDS,
        }
        if code not in said and not code.startswith(parts) and f'"{code}"' not in _used(text)
    ]
    assert sorted(idle) == []


@pytest.mark.parametrize("code", ["shape_never_heard_of", "constraint_of_some_table"])
def test_a_code_made_of_parts_has_a_sentence_whatever_the_part(code: str) -> None:
    told = words.sentence(Problem("field", code, {"said": "so"}))
    assert code not in told
    assert told[0].isupper()
    assert told.endswith(".")


def test_every_sentence_is_one() -> None:
    with override("en"):
        all_words = {
            **PROBLEM_WORDS,
            **FILE_WORDS,
            **SHAPE_WORDS,
            **REQUEST_WORDS,
            **IMPORT_WORDS,
            **KEPT_WORDS,
        }
        odd = [
            code
            for code, text in all_words.items()
            if not re.match(r"[A-Z%“]", str(text)) or not str(text).endswith((".", "?"))
        ]
    assert odd == []


def test_every_kind_of_act_has_words() -> None:
    assert [name for name in KINDS if words.act_words(name) == name] == []


def test_every_flag_on_a_check_has_words() -> None:
    text = "\n".join(path.read_text() for path in rooms.python_files("trapline/record"))
    lists = re.findall(r"flags(?:=|\.append\(|: list\[str\] = )\s*(.+)", text)
    flags = set(re.findall(r'"([a-z_]+)"', "\n".join(lists))) | {"dispatcher_not_signed_off"}
    assert len(flags) >= 6
    assert {flag for flag in flags if words.flag_words(flag) == flag} == set()


def _gaps(code: str) -> set[str]:
    text = PROBLEM_WORDS.get(code) or FILE_WORDS.get(code) or REQUEST_WORDS.get(code) or ""
    return set(re.findall(r"%\((\w+)\)s", str(text)))


def _used(text: str) -> str:
    """The source without the lists of sentences themselves."""
    return re.sub(r'^    "\w+": _\(.*$', "", text, flags=re.MULTILINE)
