"""The main job end to end in a real browser: set, checked in time, accounted for."""

import csv
from datetime import date, timedelta
from io import StringIO
from pathlib import Path
from threading import Thread
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.core.management import call_command
from django.db import connection
from django.test import Client
from playwright.sync_api import Page

from tests.browser.conftest import DESK, PHONE
from tests.world import PASSWORD, START, TZ, World
from trapline.duties.models import Duty, Notice
from trapline.ground import clock
from trapline.ground.scope import team_scope
from trapline.lines.models import Check, Set
from trapline.record.desk import submit

pytestmark = pytest.mark.browser


def signs_in(seen: Any, name: str) -> Page:
    page: Page = seen.to("/sign-in/")
    page.locator("input[name=username]").fill(name)
    page.locator("input[name=password]").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url("**/t/north/")
    return page


def choose(page: Page, name: str, value: str) -> None:
    page.locator(f"input[name='{name}'][value='{value}']").check(force=True)


def draws_a_line(page: Page, seen: Any) -> None:
    seen.to("/t/north/lines/new/")
    page.locator("#id_name").fill("Ridge line")
    page.locator("#id_tz").select_option("America/Whitehorse")
    page.locator("#map.leaflet-container:not([aria-busy])").wait_for()
    for x in (120, 300):
        page.locator("#map").click(position={"x": x, "y": 120})
    page.wait_for_function("document.getElementById('id_path').value.split('\\n').length === 2")
    page.get_by_role("button", name="Keep the line").click()
    page.get_by_text("The line is kept.").wait_for()


def places_a_set(page: Page, seen: Any, label: str, device: Any, world: World) -> None:
    seen.to("/t/north/sets/new/?lat=61.9&lon=-128.4")
    page.locator("#id_line").select_option(label="Ridge line")
    page.locator("#id_label").fill(label)
    page.locator("#id_device").select_option(str(device))
    page.locator("#id_licence").select_option(str(world.licence))
    page.locator("#id_responsible").select_option(str(world.student.member))
    choose(page, "placement", "land")
    choose(page, "targets", str(world.species["marten"]))
    page.locator("main form button").last.click()
    page.get_by_text("The set is placed.").wait_for()


def sweeps_often_and_from_many_workers(moment: Any) -> None:
    def one() -> None:
        call_command("sweep", "--now", moment.isoformat(), "--no-delivery", verbosity=0)
        connection.close()

    workers = [Thread(target=one) for _ in range(3)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()


def signs_off_and_issues_a_book(world: World) -> None:
    for kind, body in (
        ("sign_off", {"member": world.instructor.member, "skill": world.skills["dispatch"]}),
        (
            "issue_numbers",
            {"licence": world.licence, "kind": "site_tag", "prefix": "N", "first": 1, "last": 9},
        ),
    ):
        submit(world.instructor, kind, body, at=START)


def the_student_checks_both(phone: Any, signe: Page, sets: dict[str, Any], world: World) -> None:
    phone.to(f"/t/north/sets/{sets['R1']}/check/")
    choose(signe, "found", "animal")
    signe.locator("#id_catch-0-species").select_option(str(world.species["marten"]))
    choose(signe, "catch-0-sex", "female")
    choose(signe, "catch-0-alive_on_arrival", "yes")
    choose(signe, "catch-0-fate", "dispatched")
    signe.locator("#id_catch-0-dispatched_by").select_option(str(world.instructor.member))
    signe.locator("#id_catch-0-site_tag").fill("N7")
    signe.locator("#id_ends_waiting").select_option(index=1)
    choose(signe, "done", "left")
    signe.get_by_role("button", name="Keep the check").click()
    signe.get_by_text("The check is kept.").wait_for()
    # And "in order" on the body-gripping trap: two touches.
    phone.to(f"/t/north/sets/{sets['R2']}/check/")
    signe.get_by_role("button", name="In order, left as it was").click()
    signe.get_by_text("The check is kept.").wait_for()


def the_manager_accounts_for_it(office: Any, file: Path, day: date) -> None:
    maud = signs_in(office, "maud.north")
    assert maud.get_by_text("R1").first.is_visible()
    office.to("/t/north/reports/")
    with maud.expect_download() as taken:
        maud.locator("a[href*='harvest.csv']").first.click()
    taken.value.save_as(file)
    text = file.read_text(encoding="utf-8-sig")
    (animal,) = csv.DictReader(StringIO(text))
    assert (animal["zone"], animal["device_class"]) == ("A", "snare")
    assert (animal["sex"], animal["site_tag"]) == ("female", "N7")
    assert animal["date"] == day.isoformat()
    office.to("/t/north/reports/yields/")
    assert maud.get_by_role("row", name="Signe").first.is_visible()


def test_the_main_job_end_to_end(north: World, visit: Any, tmp_path: Path) -> None:
    world = north
    snare_device, body_device = world.device("snare", "SN-1"), world.device("body", "BG-1")
    signs_off_and_issues_a_book(world)

    # The instructor draws a line by tapping, places two sets and leaves them to the student.
    desk = visit(Client(), DESK)
    ivar = signs_in(desk, "ivar.north")
    draws_a_line(ivar, desk)
    places_a_set(ivar, desk, "R1", snare_device, world)
    places_a_set(ivar, desk, "R2", body_device, world)
    with team_scope(world.team):
        sets = dict(Set.objects.values_list("label", "id"))

    # The student, on a phone, finds a live animal; the instructor sees it at once.
    phone = visit(Client(), PHONE)
    signe = signs_in(phone, "signe.north")
    phone.to(f"/t/north/sets/{sets['R1']}/waiting/")
    with signe.expect_navigation():
        signe.get_by_role("button", name="Raise the alarm").click()
    desk.to("/t/north/")
    assert ivar.get_by_role("heading", name="Animal waiting").is_visible()
    with team_scope(world.team):
        alarm = Duty.objects.get(kind="animal_waiting")
    assert alarm.due_at <= clock.now()
    assert (alarm.state, alarm.who_id) == ("open", world.instructor.member)

    # A catch on the snare, dispatched by who is signed off, tagged from the licence's book.
    the_student_checks_both(phone, signe, sets, world)

    # The cable is spent; lock and swivel are in stock again; the next duties moved.
    desk.to("/t/north/gear/")
    stock = ivar.locator("main").inner_text()
    # In devices, in stock, to be inspected, spent, broken or lost.
    assert "Cable\tcable as bought\t0\t0\t0\t1\t0" in stock
    assert "Lock\tlock as bought\t0\t0\t1\t0\t0" in stock
    assert "Swivel\tswivel as bought\t0\t0\t1\t0\t0" in stock
    with team_scope(world.team):
        at = dict(Check.objects.values_list("set__label", "at"))
        due = {
            duty.set.label: duty
            for duty in Duty.objects.filter(kind="check", state="open").select_related("set")
        }
        assert not Duty.objects.filter(kind="animal_waiting", state="open").exists()
    assert due["R1"].due_at == at["R1"] + timedelta(hours=24)  # 24 h before the team's 48 h
    assert due["R2"].due_at == at["R2"] + timedelta(hours=48)  # 48 h before the third day's end

    # Time passes: one notice to the student, then one to the instructor.
    for later in (timedelta(minutes=1), timedelta(hours=1), timedelta(hours=3)):
        sweeps_often_and_from_many_workers(due["R1"].due_at + later)
    with team_scope(world.team):
        told = list(
            Notice.objects.filter(duty=due["R1"].id).order_by("stage").values_list("to__name")
        )
    assert told == [("Signe",), ("Ivar",)]

    # The manager sees it, and takes the harvest file and the yield table.
    day = at["R1"].astimezone(ZoneInfo(TZ)).date()
    the_manager_accounts_for_it(visit(Client(), DESK), tmp_path / "harvest.csv", day)
