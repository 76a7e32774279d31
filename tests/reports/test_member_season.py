"""A member's season: for the member and leaders, with a figure only where it says something."""

from datetime import timedelta

import pytest

from tests.pages.cast import client_of
from tests.reports.season import animal, local, season
from tests.world import World
from trapline.ground.scope import team_scope
from trapline.reports.member_season import member_season
from trapline.reports.period import Period

pytestmark = pytest.mark.django_db


def path(world: World, who: str = "student") -> str:
    return f"/t/north/members/{getattr(world, who).member}/season/"


def test_a_season_holds_checks_hours_findings_and_sign_offs(world: World) -> None:
    season(world)
    page = client_of(world.student).get(path(world)).content.decode()
    assert "Hours possibly held, median" in page and "Findings mended" in page
    assert "Not signed off for anything yet." in page
    # The looks of both are on the same line, in the same month; two sets of two kinds.
    assert "no figure" in page


def test_a_member_sees_their_own_season_only(world: World) -> None:
    season(world)
    client = client_of(world.student)
    assert client.get(path(world)).status_code == 200
    assert client.get(path(world, "manager")).status_code == 404
    assert client_of(world.instructor).get(path(world)).status_code == 200


def test_two_who_tend_like_sets_are_compared_and_one_alone_is_not(world: World) -> None:
    season(world)
    first, second = world.set("P1"), world.set("P2", responsible=world.instructor)
    for day in range(6, 12):
        caught = [animal(world, site_tag="", device_tag="")] if day % 2 else []
        found = "animal" if caught else "in_order"
        world.check(world.student, first, local(day, 10), found=found, catches=caught)
        caught = [animal(world, site_tag="", device_tag="")] if day % 2 else []
        world.check(world.instructor, second, local(day, 11), found=found, catches=caught)
    moment = local(20, 9) + timedelta(hours=1)
    with team_scope(world.team):
        said = member_season(world.team, world.student.member, Period(), moment)
        nobody = member_season(world.team, world.manager.member, Period(), moment)
    assert said.against is not None and said.ratio is not None
    # S1 and P1 of the student against P2: 4 target looks against 3 in about 4.4 served nights.
    assert said.against.observed == 4 and said.against.expected > 1
    assert said.ratio.lower < 1 < said.ratio.upper
    assert (nobody.against, nobody.ratio) == (None, None)
