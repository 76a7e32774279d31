"""A duty that a rule asks for: on today, on its set, and done by a number."""

from datetime import UTC, datetime
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from tests.pages.conftest import Clock
from tests.pages.reading import filled, words
from tests.record.pictures import a_jpeg
from tests.record.test_asked import FILE, MIDDAY, REPORT, SEASON, caught, lynx, take
from tests.world import World
from trapline.duties.models import Duty, Evidence
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.journal.models import PhotoSent
from trapline.lines.models import Photo
from trapline.record.desk import submit

pytestmark = pytest.mark.django_db


def test_a_report_stands_on_today_and_its_set_until_its_number_is_given(
    world: World, student: Client
) -> None:
    take(world, REPORT)
    set_id = world.set("A-1")
    caught(world, set_id, lynx(world))
    today = words(student.get("/t/north/"))
    assert "A-1 Creek line Report the animal · Lynx" in today
    assert "Report the animal: Lynx" in words(student.get(f"/t/north/sets/{set_id}/"))
    with team_scope(world.team):
        page = f"/t/north/duties/{Duty.objects.get(kind='report').id}/done/"
    opened = student.get(page)
    assert "Lynx · before Tue 6 Jan 12:00 MST · tell-non-target · The territory" in words(opened)
    empty = student.post(page, filled(opened, "number"))
    assert empty.status_code == 422
    assert "Give the number on the paper or the seal, a photograph of it, or a note." in words(
        empty
    )
    answer = student.post(page, filled(opened, "number", number="R-7"))
    assert answer.status_code == 302, words(answer)
    assert "Report the animal" not in words(student.get("/t/north/"))


def test_a_photograph_of_the_seal_is_evidence_enough_and_stands_with_the_check(
    world: World, student: Client
) -> None:
    take(world, REPORT)
    set_id = world.set("A-1")
    caught(world, set_id, lynx(world))
    with team_scope(world.team):
        page = f"/t/north/duties/{Duty.objects.get(kind='report').id}/done/"
    opened = student.get(page)
    assert 'enctype="multipart/form-data"' in opened.content.decode()
    text = SimpleUploadedFile("seal.jpg", b"no picture", "image/jpeg")
    refused = student.post(page, filled(opened, "number", paper=text))
    assert refused.status_code == 422
    assert "This is no picture that can be read. Send a JPEG, PNG or WebP." in words(refused)
    large = SimpleUploadedFile("seal.jpg", a_jpeg((4000, 3000)), "image/jpeg")
    answer = student.post(page, filled(opened, "number", paper=large))
    assert answer.status_code == 302, words(answer)
    with team_scope(world.team):
        kept = Evidence.objects.get()
        assert (kept.number, Photo.objects.get().id) == ("", kept.photo_id)
        sent = PhotoSent.objects.get(id=kept.photo_id)
    with Image.open(BytesIO(bytes(sent.bytes))) as image:
        assert (image.size, dict(image.getexif())) == ((1600, 1200), {})
    assert str(kept.photo_id) in student.get(f"/t/north/sets/{set_id}/").content.decode()


def test_when_the_evidence_is_refused_no_photograph_is_left_behind(
    world: World, student: Client
) -> None:
    take(world, REPORT)
    caught(world, world.set("A-1"), lynx(world))
    with team_scope(world.team):
        duty = Duty.objects.get(kind="report").id
    opened = student.get(f"/t/north/duties/{duty}/done/")
    said = {"evidence": new_id(), "duty": duty, "number": "R-1", "on": "2026-01-05"}
    submit(world.student, "give_evidence", said, at=MIDDAY, now=MIDDAY)
    paper = SimpleUploadedFile("seal.jpg", a_jpeg(), "image/jpeg")
    late = student.post(f"/t/north/duties/{duty}/done/", filled(opened, "number", paper=paper))
    assert late.status_code == 422, words(late)
    with team_scope(world.team):
        assert not Photo.objects.exists()
        assert not PhotoSent.objects.exists()


def test_another_members_duty_is_not_there(world: World, student: Client) -> None:
    take(world, REPORT)
    set_id = world.set("A-1", responsible=world.instructor)
    world.check(
        world.instructor, set_id, MIDDAY, found="animal", done=["left"], catches=[lynx(world)]
    )
    with team_scope(world.team):
        page = f"/t/north/duties/{Duty.objects.get(kind='report').id}/done/"
    assert student.get(page).status_code == 404
    assert client_of_instructor(world).get(page).status_code == 200


def client_of_instructor(world: World) -> Client:
    from tests.pages.cast import client_of

    return client_of(world.instructor)


def test_a_pull_and_a_filing_stand_on_today_thirty_days_before_they_are_due(
    world: World, manager: Client, at: Clock
) -> None:
    take(world, SEASON, FILE)
    set_id = world.set("A-1")
    assert "Pull before the close" not in words(manager.get("/t/north/"))
    at(datetime(2026, 3, 10, 18, tzinfo=UTC))
    page = manager.get("/t/north/")
    assert "A-1 Creek line Pull before the close" in words(page)
    assert f"/t/north/sets/{set_id}/pull/" in page.content.decode()
    assert "File the report" not in words(page)
    at(datetime(2026, 4, 10, 18, tzinfo=UTC))
    told = words(manager.get("/t/north/"))
    assert "T-north File the report" in told
    assert "end of Thu 30 Apr MST" in told


def test_the_day_proposed_is_the_teams_and_is_given_as_a_browser_takes_it(
    world: World, student: Client, at: Clock
) -> None:
    """20:30 where the team is, and the next day already in UTC. German writes days otherwise."""
    take(world, REPORT)
    set_id = world.set("A-1")
    caught(world, set_id, lynx(world))
    with team_scope(world.team):
        page = f"/t/north/duties/{Duty.objects.get(kind='report').id}/done/"
    at(datetime(2026, 1, 6, 3, 30, tzinfo=UTC))
    for language in ("en", "de"):
        shown = student.get(page, headers={"accept-language": language}).content.decode()
        assert 'type="date" name="on" value="2026-01-05"' in shown
