"""Out and in again: the file that a version gives back is the rulebook that was taken in."""

import yaml
from hypothesis import example, given, settings

from tests.rulebook.documents import Plain, documents, small
from trapline.rulebook.export import to_yaml
from trapline.rulebook.reading import read_file
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


def test_positions_and_codes_stand_on_one_line_and_cards_as_they_were_written() -> None:
    text = to_yaml(read_document(small()))
    assert "- [14.2, 62.0]\n" in text
    assert "  card: |-\n    Stay back.\n    Gloves.\n" in text
    assert "  instead_of: [office-24h]\n" in text
