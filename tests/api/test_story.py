"""The main job end to end through the REST API: set, checked in time, accounted for."""

import csv
import io
import json
from datetime import datetime, timedelta
from threading import Thread
from typing import Any

import pytest
from django.db import connection

from tests.api.caller import Caller
from tests.world import PASSWORD, PLACE, START, TZ, World, world_of
from trapline.ground import clock
from trapline.ground.ids import new_id
from trapline.watch.sweep import sweep

pytestmark = pytest.mark.django_db(transaction=True)
HOUR = timedelta(hours=1)


def signed_in(name: str, team: str) -> Caller:
    """Signs in by name and password, as a phone would, and keeps the token."""
    answer = Caller(None)("POST", "sign-in/", {"name": name, "password": PASSWORD})
    assert answer.status_code == 201, answer.content
    return Caller(answer.json()["token"], team)


def make(caller: Caller, path: str, body: dict[str, Any]) -> str:
    answer = caller.post(path, body)
    assert answer.status_code == 201, answer.content
    made: str = answer.json()["id"]
    return made


def sync(caller: Caller, kind: str, at: datetime, body: dict[str, Any]) -> None:
    """One act of the student's phone, twice: the network gave no answer the first time."""
    act = {
        "id": str(new_id()), "kind": kind, "version": 1, "team": caller.team,
        "wall_at": at.isoformat(), "body": body,
    }  # fmt: skip
    batch = {"sent_at": clock.now().isoformat(), "acts": [json.dumps(act, default=str)] * 2}
    answer = caller.post("sync/", batch)
    assert [one["state"] for one in answer.json()["acts"]] == ["applied", "known"], answer.content


def place(caller: Caller, world: World, line: str, label: str, kind: str) -> str:
    device = world.device(kind, f"{label}-device")
    body = {
        "line": line, "label": label, "licence": world.licence, "place": PLACE,
        "placement": "land", "device": device, "responsible": world.student.member,
        "targets": [world.species["marten"]], "at": START, "act": new_id(),
    }  # fmt: skip
    return make(caller, "./sets/", body)


def near(moment: datetime) -> Any:
    """Within a second: the phone's skew is measured at each sync, and its milliseconds count."""
    return pytest.approx(moment.timestamp(), abs=1)


def duty(caller: Caller, kind: str, set_id: str) -> dict[str, Any]:
    (only,) = caller.list(f"./duties/?open=true&kind={kind}&set={set_id}")
    found: dict[str, Any] = only
    return found


def due(caller: Caller, set_id: str) -> float:
    return datetime.fromisoformat(duty(caller, "check", set_id)["due_at"]).timestamp()


def sweep_from_many_workers(moment: datetime) -> None:
    def one() -> None:
        sweep(moment, batch=1)
        connection.close()

    workers = [Thread(target=one) for _ in range(4)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
    sweep(moment)


def accounts_for_the_catch(manager: Caller) -> None:
    text = manager.get("./reports/harvest/?format=csv").content.decode()
    (animal,) = csv.DictReader(io.StringIO(text))
    assert animal["zone"] == "A"
    assert animal["device_class"] == "snare"
    assert (animal["sex"], animal["site_tag"]) == ("female", "N7")
    assert animal["date"] == "2026-01-06"  # 08:00 in the line's zone
    assert "Signe" in json.dumps(manager.get("./reports/yields/").json())


def test_a_line_is_set_checked_in_time_and_accounted_for(transactional_db: None) -> None:
    world = world_of("north")
    manager, ivar, signe = (
        signed_in(f"{name}.north", "north") for name in ("maud", "ivar", "signe")
    )

    # The instructor draws a line, places two sets and leaves them to the student.
    path = {"type": "LineString", "coordinates": [[-128.42, 61.89], [-128.38, 61.91]]}
    line = make(
        ivar, "./lines/", {"name": "Ridge line", "tz": TZ, "travel": "snowshoe", "path": path}
    )
    snare = place(ivar, world, line, "R1", "snare")
    body = place(ivar, world, line, "R2", "body")
    assert {row["properties"]["label"] for row in signe.list("./sets/")} == {"R1", "R2"}
    dispatch = {"member": world.instructor.member, "skill": world.skills["dispatch"]}
    assert ivar.post("./sign-offs/", {**dispatch, "act": new_id(), "at": START}).status_code == 201
    book = {"licence": world.licence, "kind": "site_tag", "prefix": "N", "first": 1, "last": 50}
    assert ivar.post("./number-books/", book).status_code == 201

    # The student finds a live animal; the instructor sees it at once as a duty due now.
    found_at, waiting = START + 20 * HOUR, new_id()
    sync(signe, "animal_waiting", found_at, {"waiting": waiting, "set": snare, "alive": True})
    alarm = duty(ivar, "animal_waiting", snare)
    assert datetime.fromisoformat(alarm["due_at"]).timestamp() == near(found_at)
    assert alarm["who"] == str(world.instructor.member)

    # A catch on the snare, dispatched by who is signed off, tagged from the book.
    caught_at = found_at + HOUR
    catch = {
        "animal": new_id(), "species": world.species["marten"], "sex": "female",
        "alive_on_arrival": True, "fate": "dispatched", "means": "the team's method",
        "dispatched_by": world.instructor.member, "site_tag": "N7",
    }  # fmt: skip
    said = {"check": new_id(), "set": snare, "found": "animal", "ends_waiting": waiting}
    sync(signe, "log_check", caught_at, {**said, "done": ["left"], "catches": [catch]})
    order = {"check": new_id(), "set": body, "found": "in_order", "done": ["left"]}
    sync(signe, "log_check", caught_at, order)
    assert ivar.list("./duties/?open=true&kind=animal_waiting") == []

    # The cable is spent; lock and swivel are back in stock; next duties by the strictest rule.
    out = [row for row in ivar.list("./parts/") if row["state"] != "built_in"]
    states = {row["role"]: row["state"] for row in out}
    assert states == {"cable": "spent", "lock": "inspect", "swivel": "inspect"}
    assert due(ivar, snare) == near(caught_at + 24 * HOUR)  # 24 h before the team's 48 h
    assert due(ivar, body) == near(caught_at + 48 * HOUR)  # the team's own rule

    # Time passes: overdue, and told to the student, then the instructor, exactly once.
    for late in (HOUR / 60, HOUR, 2 * HOUR):
        sweep_from_many_workers(caught_at + 24 * HOUR + late)
    assert duty(manager, "check", snare)["state"] == "overdue"
    assert duty(manager, "check", body)["state"] == "open"
    told = [
        row["to"] for row in reversed(manager.list("./notices/"))
        if row["duty"] == duty(manager, "check", snare)["id"]
    ]  # fmt: skip
    assert told == [str(world.student.member), str(world.instructor.member)]

    # The manager's harvest file has the catch, and the yield table has every member.
    accounts_for_the_catch(manager)
