"""Every page takes a constant number of statements, whatever the team has. The first four are the

guard's: session, person, membership, team. What follows is named beside each number.
"""

from datetime import timedelta

import pytest

from tests.pages.cast import client_of
from tests.pages.conftest import Clock
from tests.pages.reading import statements
from tests.world import START, World
from trapline.ground.ids import new_id
from trapline.record.desk import submit

pytestmark = pytest.mark.django_db
GUARD = 4

BUDGETS = {
    "/t/north/": GUARD + 3,  # lines, tally, duties
    "/t/north/more/": GUARD,
    "/t/north/map/": GUARD + 1,  # sets
    "/t/north/map/sets.geojson": GUARD + 2,  # sets, paths
    "/t/north/lines/": GUARD + 2,  # lines, their sets
    "/t/north/lines/new/": GUARD,
    "/t/north/lines/{line}/": GUARD + 3,  # line, sets, ended sets
    "/t/north/lines/{line}/import/": GUARD + 6,  # line, kinds, parts, members, licences, species
    "/t/north/lines/{line}/file/gpx/": GUARD + 3,  # line, sets, path
    "/t/north/map/file/geojson/": GUARD + 2,  # sets, paths
    "/t/north/lines/{line}/sheet/": GUARD + 2,  # line, sets
    "/t/north/lines/{line}/sheet/type/": GUARD + 2,  # line, sets
    "/t/north/sets/new/": GUARD + 5,  # lines, devices, species, members, licences
    # sheet, duties, parts, findings, timeline; why: which rules apply, their words
    "/t/north/sets/{set}/": GUARD + 7,
    # sheet, species, duties, members, devices, books
    "/t/north/sets/{set}/check/": GUARD + 6,
    "/t/north/sets/{set}/waiting/": GUARD + 3,  # sheet, species, numbers to call
    "/t/north/findings/": GUARD + 1,  # findings
    # species, what sets are made for, clock, members, permissions
    "/t/north/findings/what-if/": GUARD + 5,
    "/t/north/findings/fit/": GUARD + 1,  # species; the table is read once under a rule stamp
    "/t/north/gear/": GUARD + 5,  # devices, stock, what lies where, kinds, their parts
    # species, their worth; kinds as named, as they stand, what they caught
    "/t/north/gear/load/": GUARD + 5,
    "/t/north/gear/picks/": GUARD + 2,  # lists, the team's clock
    "/t/north/gear/picks/new/?take={kind}:2:1": GUARD + 5,  # members, kinds, devices, spent, parts
    # list, things, devices and spare parts that were asked for, clock
    "/t/north/gear/picks/{pick}/": GUARD + 5,
    # list, things, devices and spare parts asked for, ready devices, loose parts
    "/t/north/gear/picks/{pick}/fill/": GUARD + 6,
    "/t/north/gear/file/gear.csv": GUARD + 5,  # part kinds, kinds, their parts, devices, parts
    "/t/north/gear/labels/": GUARD + 3,  # kinds of device, kinds of part, things
    "/t/north/gear/season/": GUARD + 5,  # kinds, spent roles, wear, stock, catches by season
    "/t/north/gear/stock/": GUARD + 1,  # kinds of part
    "/t/north/gear/part-kinds/{part_kind}/": GUARD + 2,  # kind, wear
    "/t/north/gear/part-kinds/{part_kind}/change/": GUARD + 3,  # kind, what was said, clock
    # kind, its parts, skills, what was said of it, clock
    "/t/north/gear/kinds/{kind}/": GUARD + 5,
    "/t/north/cautions/": GUARD + 1,  # numbers to call
    "/t/north/land/": GUARD + 4,  # permissions, days, the team's clock, features
    "/t/north/land/layer.geojson": GUARD + 2,  # the team's clock, all of it
    "/t/north/land/permissions/new/": GUARD + 1,  # members
    "/t/north/land/features/new/": GUARD,
    "/t/north/land/features/import/": GUARD,
    "/t/north/rules/": GUARD + 6,  # version, rules, species, versions, closures, clock
    # sheet; the set then, its version's key, the version, its rules, closures; species
    "/t/north/sets/{set}/rules/": GUARD + 7,
    "/t/north/rules/close/": GUARD + 4,  # authorities, species, zones, clock
    "/t/north/lines/{line}/extension/": GUARD + 3,  # line, sets, authorities
    "/t/north/rules/new/": GUARD + 1,  # version
    "/t/north/rules/change/team-two-days/": GUARD + 2,  # version, clock
    # members, sign-offs, licences, papers, books, numbers to call
    "/t/north/members/": GUARD + 6,
    "/t/north/members/papers/new/": GUARD + 2,  # licences, members
    "/t/north/notices/": GUARD + 1,  # notices
    # what is kept, what the groups rest on, the groups
    **{f"/t/north/reports/yields/by/{by}/": GUARD + 3 for by in ("set", "species")},
    # clock, looks (three), zones, duties, findings, sign-offs, strata
    "/t/north/members/{member}/season/": GUARD + 9,
    # clock; catches, effort and what it was reckoned from of this season and the last
    "/t/north/reports/figures/": GUARD + 9,
    "/t/north/reports/places/": GUARD + 1,  # the setting
    "/t/north/reports/filed/": GUARD + 2,  # filings, the team's forms
    "/t/north/reports/file/": GUARD + 2,  # licences, the team's forms
    "/t/north/animals/": GUARD + 4,  # account, strays, what is asked, animals of one place
    "/t/north/animals/fur/": GUARD + 2,  # clock, animals
    "/t/north/animals/food/": GUARD + 4,  # table, eaten, meat, rounds
    "/t/north/animals/food/table/": GUARD + 2,  # species, table
    "/t/north/animals/numbers/": GUARD + 2,  # books, numbers adrift
    "/t/north/animals/samples/": GUARD + 3,  # clock, samples, what rules ask for
    "/t/north/review/": GUARD + 4,  # waiting, settled, what looks wrong, stop pages
}


def test_every_page_keeps_its_budget_with_one_set_and_with_six(world: World, at: Clock) -> None:
    browser, first, pick = client_of(world.manager), world.set("A-0"), new_id()
    wanted = {"kind": world.kinds["snare"], "devices": 1}
    submit(world.manager, "pick_gear", {"pick": pick, "name": "Creek", "wanted": [wanted]},
           at=START, now=START)  # fmt: skip
    paths = {
        address: address.format(
            line=world.line, set=first, part_kind=world.part_kinds["cable"],
            member=world.student.member, kind=world.kinds["snare"], pick=pick,
        )
        for address in BUDGETS
    }  # fmt: skip
    for path in paths.values():
        browser.get(path)  # the rulebook's version is read once a process
    assert {one: statements(browser, path) for one, path in paths.items()} == BUDGETS
    for number in range(1, 6):
        another = world.set(f"A-{number}", responsible=world.instructor)
        world.check(world.instructor, another, START + timedelta(hours=1), note="Fresh snow.")
        world.check(world.student, first, START + timedelta(minutes=number))
    waiting = {"waiting": new_id(), "set": another}
    hour = START + timedelta(hours=1)
    submit(world.instructor, "animal_waiting", waiting, at=hour, now=hour)
    # An alarm brings the numbers to call; figures that were reckoned are kept.
    then = {
        one: number
        + (one == "/t/north/" or "/yields/by/" in one or "/figures/" in one or "{member}" in one)
        for one, number in BUDGETS.items()
    }
    assert {one: statements(browser, path) for one, path in paths.items()} == then
