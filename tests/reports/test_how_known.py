"""Wherever a page of yield, members, season or food has figures, it answers how they are known."""

import re

import pytest

from tests.pages.cast import client_of
from tests.reports.season import season
from tests.world import World
from trapline.pages.chart import Point, chart

QUESTION = "How do you know?"


@pytest.mark.django_db
def test_each_section_with_figures_answers_how_do_you_know(world: World) -> None:
    season(world)
    browser = client_of(world.manager)
    days = "a_first=2026-01-01&a_last=2026-01-07&b_first=2026-01-08&b_last=2026-01-31"
    with_figures = 0
    for path in (
        f"reports/yields/by/device/?a={world.kinds['snare']}&b={world.kinds['body']}&{days}",
        "reports/yields/", "reports/figures/?first=2025-07-01&last=2026-06-30",
        f"members/{world.student.member}/season/",
        "animals/food/?rounds=4&way=9000&hours=3&ground=hard_snow&grade=0&body_kg=70&load_kg=10"
        "&at_sets=1",
    ):  # fmt: skip
        answer = browser.get(f"/t/north/{path}")
        assert answer.status_code == 200, path
        sections = re.findall(r"<section class=.entry.*?</section>", answer.content.decode(), re.S)
        told = [
            one for one in sections if 'class="number"' in one or "</dl>" in one or "both" in one
        ]
        with_figures += len(told)
        assert [one for one in told if QUESTION not in one] == [], path
    assert with_figures >= 9


def test_a_chart_is_not_squeezed_by_a_figure_of_a_few_hours() -> None:
    usual = [Point(f"line {n}", value, value / 2, value * 2) for n, value in enumerate((3.0, 4.0))]
    drawn = chart(
        [*usual, Point("practice", 4730.0, 100.0, 9000.0), Point("none", 5.0, None, None)]
    )
    assert [one.off for one in drawn.rows] == ["", "", "4730", ""]
    assert drawn.rows[2].x is None and drawn.rows[3].x is not None and drawn.rows[3].low is None
    assert drawn.ticks[-1][1] == "15" and [one.beyond for one in drawn.rows[:2]] == [False, False]
