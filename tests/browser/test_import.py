"""Sets from a file in a real browser, with and without a script: choose, look, place."""

from pathlib import Path
from typing import Any

import pytest

from tests.browser.conftest import DESK, PHONE
from tests.browser.test_looks import RULES, broken
from tests.pages.cast import client_of
from tests.world import World

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_a_file_is_chosen_looked_at_and_its_good_rows_are_placed(
    north: World, visit: Any, tmp_path: Path
) -> None:
    north.device("snare", "K-1")
    file = tmp_path / "sets.csv"
    file.write_text("label,lat,lon,device\nC-01,61.9,-128.4,K-1\nC-02,61.91,-128.41,K-9\n")
    seen = visit(client_of(north.instructor), PHONE)
    page = seen.to(f"/t/north/lines/{north.line}/")
    page.get_by_role("link", name="Sets from a file").click()
    page.get_by_label("File (GPX 1.1 or CSV)").set_input_files(file)
    page.get_by_label("Placement").select_option("land")
    page.get_by_label("Licence").select_option(index=1)
    page.get_by_role("button", name="Show what would happen").click()
    assert page.get_by_text("The team has nothing called “K-9” here.").is_visible()
    assert page.locator(".drawing .spot-good").count() == 1
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    assert broken(page, RULES) == []
    page.set_viewport_size(DESK)
    page.get_by_role("button", name="Place 1 set").click()
    assert page.get_by_text("1 set is placed.").is_visible()
    assert page.get_by_role("link", name="C-01", exact=True).is_visible()
    assert seen.complaints == []
