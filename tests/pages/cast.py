"""The cast of the permission table, and the ids that its routes are filled with."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from django.test import Client

from tests.api.ids import api_ids
from tests.record.pictures import a_jpeg, told_of
from tests.world import START, World, world_of
from trapline.duties.models import Duty, Kind
from trapline.findings.models import Finding
from trapline.gear.models import Device, Part
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.lines.models import Catch
from trapline.people.models import Licence, Person
from trapline.people.rights import Actor
from trapline.record.desk import submit, take
from trapline.record.keep_photo import keep_photo
from trapline.reports.filed import form_of
from trapline.reports.snapshot import freeze

SIGNED_IN_BY = "django.contrib.auth.backends.ModelBackend"


@dataclass
class Cast:
    """People by the table's columns, and what the routes' parameters stand for."""

    people: dict[str, Actor | None]
    ids: dict[str, str]


def client_of(actor: Actor | None) -> Client:
    """A browser in which this person is signed in (nobody, for None)."""
    client = Client()
    if actor is not None and actor.person is not None:
        client.force_login(Person.objects.get(pk=actor.person), backend=SIGNED_IN_BY)
    return client


def make_cast() -> Cast:
    """Two teams; in the first a set of the student's and one of the instructor's."""
    north, south = world_of("north"), world_of("south")
    hour = timedelta(hours=1)
    own, others = north.set("A-1"), _elsewhere(north)
    submit(north.manager, "sign_off", _signed(north), act_id=(signed := new_id()), at=START)
    own_check = north.check(north.student, own, START + hour)
    others_check = north.check(north.instructor, others["set"], START + hour)
    ids = {
        "team": north.slug,
        "photo": str(_photo(north, north.student, own_check)),
        "others_photo": str(_photo(north, north.instructor, others_check)),
        "line_id": str(north.line),
        "others_line": str(others["line"]),
        "set_id": str(own),
        "others_set": str(others["set"]),
        "check_id": str(own_check),
        "others_check": str(others_check),
        "waiting": str(_waiting(north, own)),
        "others_waiting": str(_waiting(north, others["set"])),
        "member_id": str(north.student.member),
        "finding_id": str(no_tag(north, own)),
        "others_finding": str(no_tag(north, others["set"])),
        "kind_id": str(north.kinds["snare"]),
        "sign_off_id": str(signed),
        "act_id": str(_to_review(north, own)),
        "uidb64": "x",
        **_page_ids(north.team, ids_of := api_ids(north, own, others["set"])),
        **_kept(north, own),
        "series_id": str(_book(north)),
        "token": "none",
        "pick_id": str(_pick(north, north.student.member)),
        "others_pick": str(_pick(north, None)),
        "filing_id": str(_filed(north)),
        "form_code": "animal-log",
        "by": "device",
        "by_member": "member",
        "by_nothing": "luck",
        "a_csv": "csv",
        "form": "gpx",
        "variant": "light",
        "z": "3",
        "x": "1",
        "matter": "tag",
        "shape": "required",
        "code": "team-two-days",
        "y": "1",
        **ids_of,
    }
    people = {
        "manager": north.manager,
        "instructor": north.instructor,
        "student": north.student,
        "other": south.manager,
        "stranger": None,
    }
    return Cast(people, ids)


def _page_ids(team: UUID, ids: dict[str, str]) -> dict[str, str]:
    """What the pages name otherwise than the API; a catch that the student is to report."""
    with team_scope(team):
        catch = Catch.objects.select_related("check_made__set").get(id=ids["catch"])
        duty = Duty.objects.create(
            team_id=catch.team_id, kind=Kind.REPORT, caught=catch, who_id=ids["member"],
            of_line_id=catch.check_made.set.line_id, basis_at=catch.at, due_at=catch.at,
        )  # fmt: skip
        part = str(Part.objects.values_list("id", flat=True)[0])
        device = str(Device.objects.values_list("id", flat=True)[0])
        marked = dict(Device.objects.values_list("mark", "id"))
    return {
        "permission_id": ids["permission"],
        "feature_id": ids["feature"],
        "duty_id": str(duty.id),
        "others_animal": str(catch.animal),
        "version_id": ids["rulebook"],
        "part_kind_id": ids["part_kind"],
        "part_id": part,
        "device_id": device,
        "thing": str(marked["A-1-device"]),
        "others_device": str(marked["R-1-device"]),
    }


def _kept(world: World, set_id: UUID) -> dict[str, str]:
    """An animal that the student found, its pelt in the room, a sample of it under its label."""
    at, animal, sample = START + timedelta(hours=2, minutes=30), new_id(), new_id()
    caught = {"animal": animal, "species": world.species["marten"], "alive_on_arrival": False,
              "fate": "found_dead"}  # fmt: skip
    world.check(world.student, set_id, at, found="animal", catches=[caught])
    body = {"sample": sample, "animal": animal, "what": "tooth", "label": "L-1"}
    submit(world.student, "take_sample", body, at=at, now=at)
    return {"animal_id": str(animal), "row": str(sample), "what": "sample"}


def _book(world: World) -> UUID:
    """A tag book of the instructor's licence."""
    body = {"licence": world.licence, "kind": "site_tag", "first": 1, "last": 9}
    submit(world.manager, "issue_numbers", body, act_id=(made := new_id()), at=START, now=START)
    return made


def _photo(world: World, actor: Actor, check: UUID) -> UUID:
    """A photograph of a check, its file there."""
    made, raw = new_id(), a_jpeg()
    with team_scope(world.team):
        submit(actor, "attach_photo", told_of(made, check, raw), at=START + timedelta(hours=2))
        keep_photo(actor, made, raw, received_at=START + timedelta(hours=2))
    return made


def _pick(world: World, carrier: UUID | None) -> UUID:
    """A pick list that one member carries; it found nothing to keep."""
    made = new_id()
    body = {"pick": made, "name": "Upper creek", "carrier": carrier,
            "wanted": [{"kind": world.kinds["snare"], "devices": 2}]}  # fmt: skip
    submit(world.manager, "pick_gear", body, at=START, now=START)
    return made


def _signed(world: World) -> dict[str, Any]:
    return {"member": world.student.member, "skill": world.skills["snare"]}


def _filed(world: World) -> UUID:
    """The manager's report of a month long past, under a licence of the manager's own."""
    filing, licence = new_id(), new_id()
    said = {"licence": licence, "holder": world.manager.member, "number": "T-99",
            "authority": "the territory", "valid_from": "2024-01-01",
            "valid_until": "2024-12-31"}  # fmt: skip
    submit(world.manager, "give_licence", said, at=START, now=START)
    days = (date(2024, 1, 1), date(2024, 1, 31))
    with team_scope(world.team):
        shown = form_of(world.team, "animal-log")
        assert shown is not None
        borne = Licence.objects.get(id=licence)
        seen = freeze(world.team, shown.form, borne, *days).sha256
    body = {"filing": filing, "form": "animal-log", "licence": licence, "first": days[0],
            "last": days[1], "seen": seen, "signed": "M. Anager"}  # fmt: skip
    submit(world.manager, "file_report", body, at=START, now=START)
    return filing


def _elsewhere(world: World) -> dict[str, UUID]:
    line = new_id()
    body = {"line": line, "name": "Ridge line", "tz": "America/Whitehorse", "travel": "ski"}
    submit(world.instructor, "draw_line", body, at=START, now=START)
    return {"line": line, "set": world.set("R-1", responsible=world.instructor, line=line)}


def _waiting(world: World, set_id: UUID) -> UUID:
    waiting, at = new_id(), START + timedelta(hours=2)
    submit(world.instructor, "animal_waiting", {"waiting": waiting, "set": set_id}, at=at, now=at)
    return waiting


def no_tag(world: World, set_id: UUID) -> UUID:
    """Something found at a set: nobody noted its tag, and a rule asks for one."""
    with team_scope(world.team):
        made: Finding = Finding.objects.create(
            team_id=world.team, set_id=set_id, code="no_tag", severity="stop", opened_at=START
        )
    return made.id


def _to_review(world: World, set_id: UUID) -> UUID:
    """An act that a phone sent with a clock far ahead."""
    from trapline.record import envelope

    act = new_id()
    raw = envelope.build(
        act=act,
        kind="log_check",
        team=world.slug,
        at=START + timedelta(days=400),
        body={"check": str(new_id()), "set": str(set_id), "found": "in_order"},
    )
    outcome = take(world.student, raw, received_at=START + timedelta(hours=3))
    assert outcome.state == "needs_review", outcome
    return act
