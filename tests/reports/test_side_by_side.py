"""Two periods, two members and two groups side by side: page and paper, and who may see them."""

import re
from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client

from tests.pages.cast import client_of
from tests.pages.reading import words
from tests.reports.season import animal, prepare
from tests.world import START, World
from trapline.ground.errors import Refused
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.reports.grouped import grouped
from trapline.reports.period import Period
from trapline.reports.side_by_side import compared, compared_periods

pytestmark = pytest.mark.django_db
BY = "/t/north/reports/yields/by/"
JANUARY = Period(date(2026, 1, 1), date(2026, 1, 31))
FEBRUARY = Period(date(2026, 2, 1), date(2026, 2, 28))
DAYS = "a_first=2026-01-01&a_last=2026-01-31&b_first=2026-02-01&b_last=2026-02-28"


def lay(world: World) -> None:
    """Four sets of the student, one of the instructor: in January a marten in every second look, in
    February one in all."""
    prepare(world)
    for at in range(5):
        who = world.instructor if at == 4 else world.student
        made = world.set(f"S{at}", "body", responsible=who, at=START)
        for day in (1, 2, 30, 31):
            caught = (at + day) % 2 == 1 if day < 30 else (at, day) == (2, 31)
            said: dict[str, Any] = {"found": "animal", "catches": [animal(world)]} if caught else {}
            world.check(who, made, START + timedelta(days=day), **said)


def sides(page: str) -> list[list[str]]:
    """What stands under each of two: its name, checks, nights, targets, rate."""
    found = re.findall(r'<table class="both">(.*?)</table>', page, re.S)
    lines = [
        [
            " ".join(re.sub(r"<[^>]+>", " ", cell).split())
            for cell in re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, re.S)
        ]
        for row in re.findall(r"<tr>(.*?)</tr>", found[0], re.S)
    ] if found else []  # fmt: skip
    return [list(side) for side in zip(*lines, strict=True)][1:]


def read(browser: Client, path: str, status: int = 200) -> str:
    answer = browser.get(BY + path)
    assert answer.status_code == status
    return str(answer.content.decode())


def test_any_two_periods_are_compared_as_a_whole_and_of_one_group(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    lay(world)
    with team_scope(world.team):
        both = compared_periods(world.team, "line", None, JANUARY, FEBRUARY)
        months = compared(world.team, "month", Period(), "2026-01", "2026-02")
        alike = compared_periods(
            world.team, "line", str(world.line), Period(date(2026, 1, 6), date(2026, 1, 6)),
            Period(date(2026, 1, 7), date(2026, 1, 7)),
        )  # fmt: skip
        nothing = compared_periods(
            world.team, "line", None, Period(date(2020, 1, 1), date(2020, 1, 2)), JANUARY
        )
    # The same looks as of two months, so the same ratio and limits.
    assert months is not None and both.ratio == months.ratio
    assert both.ratio.verdict == "first_higher"
    assert (both.first.targets, both.second.targets) == (5, 1)
    assert alike.ratio.verdict == "cannot_tell"
    assert (nothing.first.looks, nothing.ratio.verdict) == (0, "no_figure")
    browser = client_of(world.manager)
    page = read(browser, f"line/?of=&{DAYS}")
    january, february = sides(page)
    assert january[0] == "2026-01-01 to 2026-01-31"
    assert (january[1:4], february[1:4]) == (["10", "10.0", "5"], ["10", "145.0", "1"])
    told = words(browser.get(f"{BY}line/?of=&{DAYS}"))
    assert "The first’s rate is" in told and "times the second’s" in told
    near = DAYS.replace("01-01", "01-06").replace("01-31", "01-06").replace("02-01", "01-07")
    near = near.replace("02-28", "01-07")
    told = words(browser.get(f"{BY}line/?of=%3D{world.line}&{near}"))
    assert "These checks cannot tell them apart: anything from" in told
    # The paper has the same two, under its own heading.
    monkeypatch.setattr(
        "trapline.pages.grouped.laid_out", lambda _, told, foot: repr(told["of_periods"])
    )
    paper = browser.get(f"{BY}line/yield.pdf?of=%3D{world.line}&{near}").content.decode()
    assert "cannot tell them apart" in paper and "2026-01-06 to 2026-01-06" in paper


def test_periods_that_cannot_be_compared_are_refused_in_a_sentence(world: World) -> None:
    for at in range(2):
        world.check(world.student, world.set(f"S{at}"), START + timedelta(days=1))
    browser = client_of(world.manager)
    for days, said in (
        (DAYS.replace("02-01", "01-31"), "The two periods share days."),
        (DAYS.replace("a_last=2026-01-31", "a_last=2025-01-31"), "The last day lies before"),
        (DAYS.replace("b_last=2026-02-28", "b_last="), "This is needed."),
        (f"of=%3D{new_id()}&{DAYS}", "Select a valid choice"),
    ):
        page = read(browser, f"set/?{days}", 422)
        assert said in page and 'value="2026-01-01"' in page and not sides(page)


def test_periods_that_are_open_on_a_side_are_refused_by_name() -> None:
    with pytest.raises(Refused) as error:
        compared_periods(new_id(), "line", None, Period(date(2026, 1, 1)), FEBRUARY)
    assert [one.code for one in error.value.problems] == ["periods_open"]


def test_members_stand_by_name_for_leaders_and_a_member_sees_no_other(world: World) -> None:
    lay(world)
    signe, ivar = world.student.member, world.instructor.member
    with team_scope(world.team):
        groups = grouped(world.team, "member", Period())
        own = grouped(world.team, "member", Period(), member=signe)
    assert [one.label for one in groups] == ["Ivar", "Signe"]  # by name; Signe caught more
    assert [(one.key, one.looks) for one in own] == [(str(signe), 16)]
    for leader in (world.manager, world.instructor):
        page = read(client_of(leader), f"member/?a={signe}&b={ivar}")
        assert page.index(">Ivar</a>") < page.index(">Signe</a>")
        assert [row[0] for row in sides(page)] == ["Signe", "Ivar"] and "no ranking" in page
    browser = client_of(world.student)
    told = read(browser, f"member/?a={signe}&b={ivar}")
    assert "Ivar" not in told and ">Signe</a>" in told and not sides(told)
    # Another member and one who is not there look the same.
    for way in ("a={}&b={}", "of=%3D{1}&" + DAYS):
        status = 422 if "of" in way else 200
        seen, unknown = (
            re.sub(
                r'(nonce|value|href)="[^"]*"',
                "",
                read(browser, f"member/?{way.format(signe, who)}", status),
            )
            for who in (ivar, new_id())
        )
        assert seen == unknown


def test_looks_of_sets_whose_bait_is_not_said_are_compared_too(world: World) -> None:
    for at in range(2):
        made = world.set(f"S{at}", bait="lure" if at else "")
        world.check(world.student, made, START + timedelta(days=1))
    assert [row[0] for row in sides(read(client_of(world.manager), "bait/?a=&b=lure"))] == [
        "not said", "lure",
    ]  # fmt: skip
