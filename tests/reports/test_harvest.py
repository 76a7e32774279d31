"""The harvest report: every animal once, under its licence, with what an authority asks for."""

from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.reports.season import Caught, animal, local, prepare, season
from tests.world import World
from trapline.ground.errors import NotYours, Refused
from trapline.ground.ids import new_id
from trapline.people.models import Licence
from trapline.record.desk import submit
from trapline.reports.harvest import Harvest, harvest
from trapline.reports.period import Period

ALWAYS = Period()


@pytest.fixture
def caught(world: World) -> Caught:
    return season(world)


def second_licence(
    world: World, number: str = "T-2", valid: tuple[date, date] | None = None
) -> Licence:
    first, last = valid or (date(2025, 7, 1), date(2026, 6, 30))
    licence: Licence = Licence._base_manager.create(
        team_id=world.team, holder_id=world.student.member, number=number, authority="territory",
        valid_from=first, valid_until=last,
    )  # fmt: skip
    return licence


def species_of(report: Harvest) -> list[str]:
    return [one.species for one in report.animals()]


def test_each_animal_has_its_species_zone_method_sex_tag_and_local_time(
    world: World, caught: Caught
) -> None:
    (licence,) = harvest(world.team, ALWAYS).licences
    marten, lynx = licence.animals
    assert (licence.number, licence.holder, licence.authority) == ("T-north", "Ivar", "territory")
    assert marten.animal == caught.marten["animal"]
    assert (marten.species_name, marten.species_latin) == ("Marten", "Martes americana")
    assert (marten.date, marten.at.isoformat()) == (date(2026, 1, 6), "2026-01-06T09:00:00-07:00")
    assert (marten.time_zone, marten.zone, marten.line) == ("America/Whitehorse", "A", "Creek line")
    assert (marten.device_class, marten.device_kind, marten.placement) == ("snare", "snare", "land")
    assert (marten.sex, marten.age, marten.alive_on_arrival) == ("male", "adult", True)
    assert (marten.fate, marten.target) == ("dispatched", True)
    assert (marten.site_tag, marten.device_tag, marten.seal) == ("N7", "QB-1", "")
    assert (marten.checked_by, marten.set) == ("Signe", "S1")
    assert (lynx.fate, lynx.target, lynx.site_tag) == ("released", False, "")


def test_hours_possibly_held_run_from_the_last_visit_and_are_never_told_shorter(
    world: World, caught: Caught
) -> None:
    marten, lynx = harvest(world.team, ALWAYS).animals()
    assert marten.hours_possibly_held == 22.0  # 5 Jan 11:00 to 6 Jan 09:00
    assert lynx.hours_possibly_held == 36.0  # 7 Jan 08:00 to 8 Jan 20:00


def test_a_minute_over_the_hour_is_told_as_a_tenth_more(world: World) -> None:
    prepare(world)
    set_id = world.set("S1")
    world.check(world.student, set_id, local(6, 9, 1), found="animal", catches=[animal(world)])
    (one,) = harvest(world.team, ALWAYS).animals()
    assert one.hours_possibly_held == 22.1


def test_an_animal_that_a_correction_took_back_is_in_no_report(
    world: World, caught: Caught
) -> None:
    wrong = world.check(
        world.student, caught.body, local(9, 9), found="animal", catches=[animal(world)]
    )
    assert species_of(harvest(world.team, ALWAYS)) == ["marten", "lynx", "marten"]
    submit(
        world.student, "correct_check", {"corrects": wrong, "withdraw": True},
        at=local(9, 18), now=local(9, 18),
    )  # fmt: skip
    assert species_of(harvest(world.team, ALWAYS)) == ["marten", "lynx"]


def test_a_corrected_animal_is_told_as_corrected_and_once(world: World, caught: Caught) -> None:
    said = animal(world)
    wrong = world.check(world.student, caught.body, local(9, 9), found="animal", catches=[said])
    right = {
        "check": new_id(), "set": caught.body, "found": "animal", "done": ["left"],
        "catches": [{**said, "species": world.species["lynx"], "sex": "female"}],
    }  # fmt: skip
    submit(
        world.instructor, "correct_check", {"corrects": wrong, "check": right},
        at=local(9, 18), now=local(9, 18),
    )  # fmt: skip
    told = [one for one in harvest(world.team, ALWAYS).animals() if one.animal == said["animal"]]
    assert [(one.species, one.sex, one.date) for one in told] == [
        ("lynx", "female", date(2026, 1, 9))
    ]


@pytest.mark.parametrize(
    ("first", "last", "expected"),
    [
        (date(2026, 1, 6), date(2026, 1, 6), ["marten"]),
        (date(2026, 1, 7), date(2026, 1, 8), ["lynx"]),
        (date(2026, 1, 7), date(2026, 1, 7), []),
        (None, date(2026, 1, 7), ["marten"]),
        (date(2026, 1, 8), None, ["lynx"]),
    ],
)
def test_the_period_is_by_local_date_and_holds_both_its_ends(
    world: World, caught: Caught, first: date | None, last: date | None, expected: list[str]
) -> None:
    # The lynx was found at 20:00 on the 8th there; in UTC that is the 9th.
    assert species_of(harvest(world.team, Period(first, last))) == expected


def test_a_period_that_ends_before_it_begins_is_refused_by_name() -> None:
    with pytest.raises(Refused) as refusal:
        Period(date(2026, 1, 8), date(2026, 1, 7))
    assert [(p.field, p.code) for p in refusal.value.problems] == [("last", "period_backwards")]


def test_a_licence_without_an_animal_makes_a_nil_report(world: World, caught: Caught) -> None:
    second_licence(world)
    nil, full = harvest(world.team, ALWAYS).licences
    assert (nil.number, nil.nil, nil.totals) == ("T-2", True, [])
    assert (full.number, full.nil) == ("T-north", False)


def test_a_licence_that_was_not_valid_in_the_period_makes_none(
    world: World, caught: Caught
) -> None:
    second_licence(world, "T-old", (date(2024, 7, 1), date(2025, 6, 30)))
    report = harvest(world.team, Period(date(2026, 1, 1), date(2026, 1, 31)))
    assert [one.number for one in report.licences] == ["T-north"]


def test_a_report_of_one_licence_has_no_other_and_of_none_is_not_there(
    world: World, other_world: World, caught: Caught
) -> None:
    other = second_licence(world)
    (told,) = harvest(world.team, ALWAYS, licence=world.licence).licences
    assert told.number == "T-north"
    (told,) = harvest(world.team, ALWAYS, licence=other.id).licences
    assert told.nil
    for unknown in (new_id(), other_world.licence):
        with pytest.raises(NotYours):
            harvest(world.team, ALWAYS, licence=unknown)


def test_who_holds_a_licence_gets_the_report_of_that_one(world: World, caught: Caught) -> None:
    second_licence(world)
    own = harvest(world.team, ALWAYS, holder=world.student.member)
    assert [one.number for one in own.licences] == ["T-2"]
    with pytest.raises(NotYours):
        harvest(world.team, ALWAYS, licence=world.licence, holder=world.student.member)


def test_totals_tell_what_was_taken_from_what_was_let_go(world: World, caught: Caught) -> None:
    dead = animal(world, alive_on_arrival=False, fate="found_dead", means="", dispatched_by=None)
    world.check(world.student, caught.body, local(9, 9), found="animal", catches=[dead])
    lynx, marten = harvest(world.team, ALWAYS).totals
    assert (lynx.name, lynx.animals, lynx.taken, lynx.released) == ("Lynx", 1, 0, 1)
    assert (marten.name, marten.animals, marten.taken, marten.released) == ("Marten", 2, 2, 0)


def test_the_device_told_is_the_one_that_held_it_not_the_one_put_there_after(
    world: World,
) -> None:
    prepare(world)
    set_id = world.set("S1")
    fresh = world.device("body", "fresh")
    world.check(
        world.student, set_id, local(6, 9), found="animal", done=["remade"], new_device=fresh,
        catches=[animal(world)],
    )  # fmt: skip
    world.check(world.student, set_id, local(7, 9), found="animal", catches=[animal(world)])
    kinds = [one.device_kind for one in harvest(world.team, ALWAYS).animals()]
    assert kinds == ["snare", "body"]


def test_the_report_takes_one_statement_however_much_is_in_it(world: World, caught: Caught) -> None:
    second_licence(world)
    with CaptureQueriesContext(connection) as seen:
        harvest(world.team, ALWAYS)
    assert len(seen) == 1  # licences with their animals


def test_another_teams_animals_are_never_in_it(
    world: World, other_world: World, caught: Caught
) -> None:
    (licence,) = harvest(other_world.team, ALWAYS).licences
    assert licence.nil
