"""Out and in again: the file that a version gives back is the rulebook that was taken in."""

import json
import math

import yaml
from hypothesis import example, given, settings

from tests.rulebook.documents import Plain, documents, small, zone
from trapline.rulebook.export import to_yaml
from trapline.rulebook.reading import MOST_BYTES, read_file
from trapline.rulebook.schema import read_document, read_text


@settings(max_examples=50, deadline=None)
@given(documents())
@example(small())
def test_any_rulebook_comes_back_the_same_from_its_own_file(plain: Plain) -> None:
    document = read_document(plain)
    text = to_yaml(document)
    again = read_text(text.encode())
    assert again == document
    assert to_yaml(again) == text


@settings(max_examples=50, deadline=None)
@given(documents())
def test_a_reader_of_yaml_1_1_finds_the_same_values_in_the_file(plain: Plain) -> None:
    # PyYAML's own loader, another reader of the file than ours.
    text = to_yaml(read_document(plain))
    assert yaml.safe_load(text) == read_file(text.encode())[0]


def test_rings_and_codes_run_along_the_line_and_cards_stand_as_they_were_written() -> None:
    text = to_yaml(read_document(small()))
    assert "    - [[14.0, 62.0], [14.2, 62.0], [14.2, 62.1]," in text
    assert "  card: |-\n    Stay back.\n    Gloves.\n" in text
    assert "  instead_of: [office-24h]\n" in text
    assert (
        "- code: office-24h\n  authority: office\n  matter: check\n  form: within_hours\n" in text
    )


def test_a_rulebook_as_large_as_may_be_comes_back_too() -> None:
    corners = 66_000
    turn = [2 * math.pi * n / corners for n in range(corners)]
    ring = [[round(14 + 0.5 * math.cos(t), 6), round(62 + 0.2 * math.sin(t), 6)] for t in turn]
    area = {"type": "Polygon", "coordinates": [[*ring, ring[0]]]}
    card = "x\n" * 4000
    species = [{"code": f"s{n}", "name": "S", "card": card} for n in range(48)]
    plain = small(zones=[zone("W", area), zone("E")], species=species, rules=[])
    raw = json.dumps(plain, separators=(",", ":")).encode()
    assert 0.95 * MOST_BYTES < len(raw) <= MOST_BYTES
    document = read_text(raw)
    again = to_yaml(document).encode()
    assert len(again) <= MOST_BYTES
    assert read_text(again) == document
