"""Reading a file: what the standards say of scalars, and what is refused before it can do harm."""

import json
import math
import time
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trapline.ground.errors import Problem, Refused
from trapline.rulebook.reading import MOST_BYTES, read_file


def refused(raw: bytes) -> Problem:
    with pytest.raises(Refused) as caught:
        read_file(raw)
    (problem,) = caught.value.problems
    return problem


@pytest.mark.parametrize(
    ("text", "value"),
    [
        # YAML 1.2.2 (yaml.org/spec/1.2.2), example 10.9, core tag resolution.
        ("", None),
        ("null", None),
        ("true", True),
        ("True", True),
        ("false", False),
        ("FALSE", False),
        ("0", 0),
        ("0o7", 7),
        ("0x3A", 58),
        ("-19", -19),
        ("0.", 0.0),
        ("-0.0", -0.0),
        (".5", 0.5),
        ("+12e03", 12000.0),
        ("-2E+05", -200000.0),
        (".inf", math.inf),
        ("-.Inf", -math.inf),
        ("+.INF", math.inf),
        # What YAML 1.1 read otherwise, and 1.2 leaves as text (1.2.2, section 1.3 and chapter 10).
        ("22:00", "22:00"),
        ("no", "no"),
        ("2026-10-01", "2026-10-01"),
        ("1_000", "1_000"),
        ("'0x3A'", "0x3A"),
    ],
)
def test_a_plain_scalar_is_what_yaml_1_2_says_it_is(text: str, value: Any) -> None:
    found = read_file(f"a: {text}\n".encode())[0]["a"]
    assert (type(found), found) == (type(value), value)


def test_not_a_number_is_read_as_such() -> None:
    assert math.isnan(read_file(b"a: .NAN")[0]["a"])


_JSON_TEXT = st.text(
    st.characters(exclude_categories=["Cs"], exclude_characters="\x7f\ufeff\ufffe\uffff").filter(
        lambda c: not "\x80" <= c <= "\x9f" or c == "\x85"
    )
)
_JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False)
    | _JSON_TEXT,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(_JSON_TEXT, inner, max_size=4),
)  # fmt: skip


@settings(max_examples=100, deadline=None)
@given(st.dictionaries(_JSON_TEXT, _JSON, max_size=4), st.booleans(), st.sampled_from([None, "\t"]))
def test_json_is_read_as_pythons_own_reader_does(
    value: dict[str, Any], ascii_only: bool, indent: str | None
) -> None:
    text = json.dumps(value, ensure_ascii=ascii_only, indent=indent)
    found, lines = read_file(text.encode())
    assert found == json.loads(text)
    assert lines[()] == 1


def test_each_value_knows_its_line_in_yaml_and_in_json() -> None:
    wanted = {(): 1, ("a",): 1, ("b",): 2, ("b", 0): 3, ("b", 1): 4, ("b", 1, "c"): 4}
    assert read_file(b"a: 1\nb:\n  - 2\n  - c: 3\n")[1] == wanted | {("b",): 3}
    assert read_file(b'{"a": 1,\n"b": [\n2,\n{"c": 3}]}')[1] == wanted


@pytest.mark.parametrize(
    ("raw", "code", "field", "line"),
    [
        (b"", "file_empty", "document", None),
        (b"# nothing\n", "file_empty", "document", None),
        (b"a: 1\nb: [1, 2\nc: 3\n", "file_syntax", "document", 3),
        (b'{"a": 1,\n"b": }}', "file_syntax", "document", 2),
        (b"a: 1\n\tb: 2\n", "file_syntax", "document", 2),
        (b"a: 1\n---\nb: 2\n", "file_more_than_one", "document", 2),
        (b"a: 1\nb:\n  c: 1\n  c: 2\n", "file_key_twice", "b.c", 4),
        (b'{"a": 1, "a": 1}', "file_key_twice", "a", 1),
        (b"a:\n  b: &x 1\n", "file_anchor", "a.b", 2),
        (b"a: *x\n", "file_anchor", "a", 1),
        (b"a: !!python/object/apply:os.system [ls]\n", "file_tag", "a", 1),
        (b"a: !!str 5\n", "file_tag", "a", 1),
        (b"a:\n- [1, 2]: 3\n", "file_key_not_text", "a.0", 2),
        (b"a: " + b"9" * 5000, "file_number", "a", 1),
        (b"a: 1\nb: \xff\n", "file_not_text", "document", 2),
        (b"\x89PNG\r\n\x1a\n\x00\x00", "file_not_text", "document", 1),
        (b"a: 1\nb: \x00\n", "file_syntax", "document", 2),
        (b"a: " + b"[" * 100, "file_too_deep", "a" + ".0" * 39, 1),
    ],
)
def test_a_broken_file_is_refused_with_place_and_reason(
    raw: bytes, code: str, field: str, line: int | None
) -> None:
    problem = refused(raw)
    assert (problem.code, problem.field, problem.values.get("line")) == (code, field, line)


def test_a_file_over_the_limit_is_refused_and_one_at_the_limit_is_read() -> None:
    assert refused(b"a: " + b"b" * (MOST_BYTES - 2)).code == "file_too_large"
    assert read_file(b"a: " + b"b" * (MOST_BYTES - 3))[0]["a"][:1] == "b"


def test_a_million_open_brackets_and_an_alias_bomb_cost_next_to_nothing() -> None:
    bomb = b"a: &a [x,x]\n" + b"".join(
        b"%c: &%c [*%c,*%c]\n" % (c, c, c - 1, c - 1) for c in range(ord("b"), ord("z"))
    )
    began = time.process_time()
    # The parser or our own limit: whichever comes first.
    assert refused(b"[" * 1_000_000).code in {"file_too_deep", "file_syntax"}
    assert refused(bomb).code == "file_anchor"
    assert time.process_time() - began < 2.0


def test_a_byte_order_mark_is_no_content() -> None:
    assert read_file("\ufeffa: ü\n".encode())[0] == {"a": "ü"}
