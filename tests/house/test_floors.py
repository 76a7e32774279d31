"""A room knows only what lies below it: by import, by key and by table."""

from pathlib import Path

import pytest
from importlinter.cli import lint_imports

from tests.house import rooms

BAD = """
[importlinter]
root_package = house_of_cards

[importlinter:contract:floors]
name = Floors
type = layers
layers =
    house_of_cards.upper
    house_of_cards.lower
"""


def test_no_import_goes_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(rooms.CHECKOUT)
    assert lint_imports(config_filename="pyproject.toml", no_cache=True) == 0


@pytest.mark.parametrize(("lower_says", "status"), [("", 0), ("import house_of_cards.upper\n", 1)])
def test_the_contract_finds_an_import_that_goes_up(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, lower_says: str, status: int
) -> None:
    package = tmp_path / "house_of_cards"
    package.mkdir()
    for name, text in {"__init__": "", "upper": "", "lower": lower_says}.items():
        (package / f"{name}.py").write_text(text)
    (tmp_path / "lint.ini").write_text(BAD)
    monkeypatch.syspath_prepend(tmp_path)
    found = lint_imports(config_filename=str(tmp_path / "lint.ini"), no_cache=True)
    assert found == status


def test_every_folder_of_the_package_is_a_room_or_lies_in_one() -> None:
    folders = {path.name for path in rooms.HOUSE.iterdir() if any(path.glob("*.py"))}
    assert folders == set(rooms.level_of())


def test_every_folder_with_modules_is_a_package() -> None:
    """Else the contract would not read it."""
    folders = {path.parent for path in rooms.HOUSE.rglob("*.py")}
    assert [folder for folder in folders if not (folder / "__init__.py").is_file()] == []


def test_every_key_points_to_the_same_or_a_lower_room() -> None:
    links = [
        (model, field.name, field.related_model)
        for model in rooms.our_models()
        for field in model._meta.get_fields()
        if field.concrete and field.is_relation
    ]
    ups = [
        f"{model._meta.label}.{name} -> {target._meta.label}"
        for model, name, target in links
        if target in rooms.our_models()
        and not rooms.may_know(rooms.room_of_model(model), rooms.room_of_model(target))
    ]
    assert len(links) > 100
    assert ups == []


def test_sql_names_only_tables_of_its_own_or_lower_rooms() -> None:
    texts = [*rooms.sql_files(), *rooms.sql_strings()]
    ups = [
        f"{text.name} names {table} of {room}"
        for text in texts
        for table, room in rooms.tables().items()
        if table in text.words and not rooms.may_know(text.room, room)
    ]
    assert len(texts) > 25
    assert ups == []


def test_no_room_names_a_table_of_a_framework() -> None:
    """They are reached through the framework only."""
    from django.apps import apps

    theirs = {model._meta.db_table for model in apps.get_models()} - set(rooms.tables())
    texts = [*rooms.sql_files(), *rooms.sql_strings()]
    assert [text.name for text in texts if text.words & theirs] == []
