"""docs/rulebook.md and its schema say what the program reads."""

import json
import re
from pathlib import Path
from typing import Any

import yaml

from trapline.rulebook.matters import shapes
from trapline.rulebook.reading import read_file
from trapline.rulebook.schema import read_document, schema_json

DOCS = Path(__file__).parents[2] / "docs"


def blocks() -> list[str]:
    return re.findall(r"```yaml\n(.*?)```", (DOCS / "rulebook.md").read_text(), flags=re.S)


def examples() -> tuple[dict[str, Any], list[dict[str, Any]]]:
    """The file that the document begins with, and the rules of all its examples."""
    whole, *rules = (read_file(block.encode())[0] for block in blocks())
    return whole, [rule for block in rules for rule in block]


def test_the_file_in_the_document_is_a_rulebook() -> None:
    whole, _ = examples()
    assert len(read_document(whole).rules) == 2


def test_every_matter_and_form_has_an_example_that_is_read() -> None:
    whole, rules = examples()
    assert {(rule["matter"], rule["form"]) for rule in rules} == set(shapes())
    document = read_document(whole | {"rules": rules})
    assert len(document.rules) == len(rules)


def test_the_schema_beside_it_is_the_one_that_the_program_gives() -> None:
    written = json.loads((DOCS / "rulebook.schema.json").read_text())
    assert written == schema_json(), "write it anew: manage.py rulebook_format"


def test_the_examples_need_no_reader_of_our_own() -> None:
    assert all(yaml.safe_load(block) for block in blocks())
