"""Every word of a template can be translated, and nothing in one breaks the strict policy."""

import re
from pathlib import Path

import pytest

TEMPLATES = Path(__file__).parents[2] / "templates"
# Shown when the server itself is broken, so it may use nothing of it.
ALONE = "500.html"
NAMES = {"Lineward", "CSV", "JSON", "PDF", "SHA"}
PAGES = sorted(path for path in TEMPLATES.rglob("*.html") if path.name != ALONE)


def shown(path: Path) -> str:
    return str(path.relative_to(TEMPLATES))


def bare_words(text: str) -> list[str]:
    """Words that stand in the markup without gettext around them."""
    text = re.sub(r"{% comment %}.*?{% endcomment %}", " ", text, flags=re.S)
    text = re.sub(r"{% blocktranslate.*?{% endblocktranslate %}", " ", text, flags=re.S)
    text = re.sub(r"{%.*?%}|{{.*?}}", " ", text, flags=re.S)
    text = re.sub(r"<[^>]*>", " ", text)
    text = re.sub(r"&\w+;", " ", text)
    return [word for word in re.findall(r"[A-Za-z]{2,}", text) if word not in NAMES]


@pytest.mark.parametrize("path", PAGES, ids=shown)
def test_every_word_can_be_translated(path: Path) -> None:
    assert bare_words(path.read_text()) == []


@pytest.mark.parametrize("path", PAGES, ids=shown)
def test_no_template_brings_a_script_or_a_style_of_its_own(path: Path) -> None:
    text = path.read_text()
    assert not re.search(r"\sstyle=|\son[a-z]+=|<style", text)
    assert not re.search(r"<script(?![^>]*\ssrc=)", text)


def test_the_check_sees_a_bare_word() -> None:
    assert bare_words("<p>{% translate 'Fine' %} Not fine {{ value }}</p>") == ["Not", "fine"]
