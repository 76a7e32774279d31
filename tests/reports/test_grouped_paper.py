"""The yield page on paper: its chart, its figures and their method, as the page has them."""

import io
import re

import pytest
from django.test import Client
from pypdf import PdfReader

from tests.pages.cast import client_of
from tests.reports.season import animal, local, season
from tests.world import World

pytestmark = pytest.mark.django_db
BY_DEVICE = "/t/north/reports/yields/by/device/"


def paper(browser: Client, query: str = "") -> str:
    answer = browser.get(f"{BY_DEVICE}yield.pdf{query}")
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    pages = PdfReader(io.BytesIO(answer.content)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def cells(html: str) -> list[str]:
    """The text of each cell of the page's table."""
    (body,) = re.findall(r"<tbody>(.*?)</tbody>", html, re.S)
    told = (
        re.sub(r"<[^>]+>", " ", cell)
        for cell in re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", body, re.S)
    )
    return [" ".join(one.split()) for one in told]


def test_the_paper_has_the_chart_and_every_figure_of_the_page(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    season(world)
    aimed = world.set("T1", targets=[world.species["marten"]])
    world.check(world.student, aimed, local(6, 9), found="animal", catches=[animal(world)])
    world.check(world.student, aimed, local(7, 9))
    said = paper(client_of(world.manager))
    page = client_of(world.manager).get(BY_DEVICE).content.decode()
    told = cells(page)
    assert len(told) == 20 and "<svg" in page
    missing = [one for one in told if one.replace(" ", "") not in said.replace(" ", "")]
    assert missing == []
    # The caption of the chart, its axis, the method, and that the whole record is meant.
    for words in (
        "Target animals per 100 trap-nights with 95 % limits",
        "Garwood 1936",
        "The whole record",
    ):
        assert words in said
    # What a member sees of it is their own, and the paper says so.
    monkeypatch.setattr("trapline.pages.grouped.laid_out", lambda name, told, foot: told["own"])
    own = client_of(world.student).get(f"{BY_DEVICE}yield.pdf?first=2026-01-06")
    assert own.content.decode() == "only what you looked at yourself"


def test_days_the_wrong_way_round_give_the_form_and_no_paper(world: World) -> None:
    wrong = client_of(world.manager).get(f"{BY_DEVICE}yield.pdf?first=2026-02-01&last=2026-01-01")
    assert wrong.status_code == 422 and wrong["Content-Type"].startswith("text/html")
