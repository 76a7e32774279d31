"""A member's season: for the member and leaders, with a figure only where it says something."""

from datetime import date, timedelta

import pytest

from tests.pages.cast import client_of
from tests.reports.season import animal, local, season
from tests.world import World
from trapline.ground.scope import team_scope
from trapline.reports.member_season import member_season
from trapline.reports.members_compared import KEPT_FOR, METHOD, compare_now, compared
from trapline.reports.models import Comparison
from trapline.reports.period import Period
from trapline.watch.nightly import nightly

pytestmark = pytest.mark.django_db


def path(world: World, who: str = "student") -> str:
    return f"/t/north/members/{getattr(world, who).member}/season/"


def test_a_season_holds_checks_hours_findings_and_sign_offs(world: World) -> None:
    season(world)
    page = client_of(world.student).get(path(world)).content.decode()
    order = ("Checks in time", "Hours possibly held", "Non-target of all", "Findings caused",
             "Findings mended", "Sign-offs", "Target per 100", "to be expected")  # fmt: skip
    assert [page.index(one) for one in order] == sorted(page.index(one) for one in order)
    assert "1 of 2 (9 to 91\u00a0%)" in page  # Newcombe 1998 gives Wilson's limits of a half of two
    # It prints as a record: who, as of when, and no form.
    assert "As of" in page and 'class="entry no-print"' in page
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


def test_the_comparison_is_kept_with_its_time_until_it_is_reckoned_anew(world: World) -> None:
    season(world)
    moment = local(9, 10)
    with team_scope(world.team):
        first = compared(world.team, Period(), moment)
        assert compared(world.team, Period(), moment + timedelta(hours=1)) == first
    world.check(world.student, world.set("S2"), local(9, 11))
    with team_scope(world.team):
        later = compared(world.team, Period(), moment + timedelta(hours=2))
        assert (later.at, later.stale, later.members) == (moment, True, first.members)
    client = client_of(world.student)
    page = client.get(path(world)).content.decode()
    assert "the record has changed since" in page and f"method {METHOD}" in page
    answer = client.post(path(world) + "?first=&last=")
    assert answer.status_code == 302 and answer["Location"] == path(world) + "?first=&last="
    assert "nothing has changed since" in client.get(path(world)).content.decode()
    with team_scope(world.team):
        anew = compared(world.team, Period(), moment)
    assert anew.at > moment and not anew.stale and anew.members != first.members


def test_each_night_the_record_and_the_season_are_compared_after_the_teams_own_midnight(
    world: World,
) -> None:
    season(world)
    evening, after = local(9, 23, 30), local(10, 0, 30)
    assert nightly(evening) == 4  # for the first time, in two teams
    assert nightly(after) == 0  # nothing has changed
    world.check(world.student, world.set("S2"), local(9, 11))
    assert nightly(evening) == 0  # changed, but reckoned today
    assert nightly(after) == 2
    with team_scope(world.team):
        kept = {(one.first, one.last): one.at for one in Comparison.objects.all()}
        whole = compared(world.team, Period(), after)
    assert kept == dict.fromkeys([(None, None), (date(2025, 7, 1), date(2026, 6, 30))], after)
    # The same as whoever asks would have reckoned.
    with team_scope(world.team):
        assert compare_now(world.team, Period(), after) == whole
        assert nightly(after + 2 * KEPT_FOR) == 4 and Comparison.objects.count() == 2
