"""The rules in force and a rulebook's dry run; acts that wait for a word; notices and mails."""

import json
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
import yaml
from django.conf import settings
from django.core import mail
from django.test import Client

from tests.findings.scene import rule, take
from tests.pages.cast import _to_review
from tests.pages.conftest import Clock
from tests.pages.reading import filled, form_with, forms, words
from tests.world import RULEBOOK, START, World
from trapline.ground.scope import team_scope
from trapline.lines.models import Check
from trapline.rulebook.models import Version
from trapline.watch.deliver import deliver
from trapline.watch.sweep import sweep

pytestmark = pytest.mark.django_db
TAKE = "/t/north/rules/take/"


def changed(**values: Any) -> str:
    rules = [RULEBOOK["rules"][0] | {"params": {"hours": 20}}, *RULEBOOK["rules"][2:]]
    later = {"in_force_from": "2026-01-05T00:00:00-07:00"}
    return yaml.safe_dump(RULEBOOK | later | {"rules": rules} | values)


def test_the_rules_are_told_in_sentences_with_who_made_them(world: World, student: Client) -> None:
    page = words(student.get("/t/north/rules/"))
    assert "This is the team’s own record of its rules." in page
    assert "At most 24 hours after the last visit. Holds alive · invented holding-each-day" in page
    assert "The territory State Check interval At most 24 hours" in page
    assert "Good until the end of the day that comes 3 days after the visit." in page
    assert "Lynx Lynx canadensis Leave and call first" in page


def test_a_rule_names_its_species_by_name(world: World, student: Client) -> None:
    season = {"opens_on": "11-01", "closes_on": "03-01"}
    take(world, rule("m", "season", "each_year", season, species=["marten"]))
    assert "1 Mar. Marten" in words(student.get("/t/north/rules/")).replace("  ", " ")
    bound = words(student.get(f"/t/north/sets/{world.set('A')}/rules/"))
    assert "· Marten" in bound and "· marten" not in bound


def test_the_rules_come_out_as_a_file_that_goes_in_again(world: World, manager: Client) -> None:
    file = manager.get("/t/north/rules/file/")
    assert "attachment" in file["Content-Disposition"]
    again = manager.post(TAKE, filled(manager.get(TAKE), "text", text=file.content.decode()))
    assert "It says the same as the version in force." in words(again)


def test_a_dry_run_shows_what_would_change_and_writes_nothing(
    world: World, manager: Client
) -> None:
    answer = manager.post(TAKE, filled(manager.get(TAKE), "text", text=changed()))
    page = words(answer)
    assert (
        "~ holding-each-day At most 24 hours after the last visit. At most 20 hours after the last "
        "visit. (params) changed" in page
    )
    assert "– killing-third-day Good until the end of the day that comes 3 days" in page
    with team_scope(world.team):
        assert Version.objects.count() == 1


def test_after_the_dry_run_the_rulebook_is_taken_in(world: World, manager: Client) -> None:
    shown = manager.post(TAKE, filled(manager.get(TAKE), "text", text=changed()))
    confirm = next(form for form in forms(shown) if "document" in form.values)
    assert json.loads(confirm.values["document"][0])["title"] == RULEBOOK["title"]
    assert manager.post(confirm.action, confirm.values).status_code == 302
    assert "At most 20 hours after the last visit." in words(manager.get("/t/north/rules/"))


def test_a_rulebook_with_an_error_is_refused_whole_with_its_line_and_kept_on_the_page(
    world: World, manager: Client
) -> None:
    text = changed().replace("authority: territory", "authority: nobody", 1)
    answer = manager.post(TAKE, filled(manager.get(TAKE), "text", text=text))
    assert answer.status_code == 422
    line = next(n for n, one in enumerate(text.splitlines(), 1) if "authority: nobody" in one)
    assert f"Line {line}: No authority in this file has the code nobody." in words(answer)
    assert form_with(answer, "text").values["text"][0].strip() == text.strip()


def test_what_a_phone_sent_ahead_of_its_time_waits_for_a_word(
    world: World, instructor: Client
) -> None:
    act = _to_review(world, world.set("A-1"))
    page = words(instructor.get("/t/north/review/"))
    assert "Log a check · Signe This lies ahead of the server’s clock." in page
    path = f"/t/north/review/{act}/"
    opened = instructor.get(path)
    assert "found in_order" in words(opened)
    answer = instructor.post(path, filled(opened, "note", decline="1", note="Clock was wrong."))
    assert answer.status_code == 302
    page = words(instructor.get("/t/north/review/"))
    assert "Nothing waits." in page
    assert "Declined by a reviewer Ivar" in page


def test_an_act_that_is_taken_in_becomes_part_of_the_record(
    world: World, instructor: Client, student: Client
) -> None:
    set_id = world.set("A-1")
    world.check(world.instructor, set_id, START + timedelta(hours=1), done=["pulled"])
    refused = student.get(f"/t/north/sets/{set_id}/check/")
    assert refused.status_code == 200  # somebody may still have to tell of a visit before
    act = _to_review(world, world.set("A-2"))
    path = f"/t/north/review/{act}/"
    assert (
        instructor.post(path, filled(instructor.get(path), "note", accept="1")).status_code == 302
    )
    with team_scope(world.team):
        assert "reviewed" in Check.objects.get(act_id=act).flags


def test_a_notice_stands_once_with_its_state_and_its_mail(
    world: World, student: Client, manager: Client, at: Clock, tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.setattr(
        settings, "EMAIL_BACKEND", "django.core.mail.backends.filebased.EmailBackend"
    )
    monkeypatch.setattr(settings, "EMAIL_FILE_PATH", str(tmp_path))
    world.set("A-1")
    late = START + timedelta(hours=24, minutes=1)
    at(late)
    for _round in range(2):
        sweep(late)
    page = words(student.get("/t/north/notices/"))
    assert page.count("Check · A-1 · Creek line Signe · E-mail") == 1
    deliver(late)
    assert "Sent" in words(student.get("/t/north/notices/"))
    mails = words(manager.get("/t/north/notices/mails/"))
    assert "Signe@north.example" in mails
    assert mail.outbox == []


def test_a_member_sees_only_their_own_notices(
    world: World, student: Client, manager: Client, at: Clock
) -> None:
    world.set("A-1", responsible=world.instructor)
    late = START + timedelta(hours=24, minutes=1)
    at(late)
    sweep(late)
    assert "Nobody had to be told anything yet." in words(student.get("/t/north/notices/"))
    assert "A-1" in words(manager.get("/t/north/notices/"))
