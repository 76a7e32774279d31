"""A phone puts a photograph; whoever may see its set gets it without what the camera wrote."""

import hashlib
from datetime import timedelta
from io import BytesIO
from typing import Any

import pytest
from django.test import Client
from PIL import Image

from tests.pages.cast import client_of
from tests.pages.reading import statements
from tests.record.acting import do
from tests.record.pictures import CAMERA, a_jpeg, told_of
from tests.world import START, World
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.journal.models import PhotoSent

pytestmark = pytest.mark.django_db
AT = START + timedelta(hours=3)


def darkest(image: Image.Image, box: tuple[int, int, int, int]) -> int:
    """The darkest of the pixels in a box, 0 to 255."""
    return min(image.convert("L").crop(box).tobytes())


def put(browser: Client, photo: Any, raw: bytes, **more: Any) -> Any:
    address = f"/t/north/phone/photos/{photo}/"
    return browser.put(address, raw, content_type="image/jpeg", **more)


@pytest.fixture
def photo(world: World) -> Any:
    """A photograph that the student's check tells of; its file is not here yet."""
    made = new_id()
    check = world.check(world.student, world.set("S1"), AT)
    do(world.student, "attach_photo", told_of(made, check, a_jpeg()), AT)
    return made


def test_a_put_is_answered_201_then_200_and_409_for_other_bytes(world: World, photo: Any) -> None:
    browser, raw = client_of(world.student), a_jpeg()
    hashed = {"HTTP_X_SHA256": hashlib.sha256(raw).hexdigest()}
    assert [put(browser, photo, raw, **hashed).status_code for _ in range(3)] == [201, 200, 200]
    other = put(browser, photo, a_jpeg(colour="#112233"))
    assert (other.status_code, other.json()["code"]) == (409, "photo_conflict")
    with team_scope(world.team):
        assert bytes(PhotoSent.objects.get().bytes) == raw


def test_what_is_served_is_the_picture_without_exif_or_comment(world: World, photo: Any) -> None:
    browser = client_of(world.student)
    put(browser, photo, a_jpeg())
    answer = browser.get(f"/t/north/phone/photos/{photo}/")
    assert answer["Content-Type"] == "image/jpeg"
    assert CAMERA.encode() not in answer.content
    with Image.open(BytesIO(answer.content)) as image:
        assert (image.size, dict(image.getexif()), image.info.get("comment")) == (
            (64, 48),
            {},
            None,
        )
        assert darkest(image, (2, 2, 6, 6)) > 240  # the white corner


def test_a_picture_held_sideways_is_served_upright(world: World) -> None:
    # EXIF orientation 6: the 0th row is the visual right-hand side (CIPA DC-008, 4.6.4).
    made, raw = new_id(), a_jpeg(turned=6)
    check = world.check(world.student, world.set("S1"), AT)
    do(world.student, "attach_photo", told_of(made, check, raw), AT)
    browser = client_of(world.student)
    put(browser, made, raw)
    with Image.open(BytesIO(browser.get(f"/t/north/phone/photos/{made}/").content)) as image:
        assert image.size == (48, 64)
        assert darkest(image, (42, 2, 46, 6)) > 240  # the white corner is at the upper right


def test_a_photo_that_has_not_come_in_is_not_there(world: World, photo: Any) -> None:
    assert client_of(world.student).get(f"/t/north/phone/photos/{photo}/").status_code == 404


def test_it_is_fetched_again_only_when_it_changed(world: World, photo: Any) -> None:
    browser = client_of(world.student)
    put(browser, photo, a_jpeg())
    first = browser.get(f"/t/north/phone/photos/{photo}/")
    again = browser.get(f"/t/north/phone/photos/{photo}/", HTTP_IF_NONE_MATCH=first["ETag"])
    assert (first.status_code, again.status_code, again.content) == (200, 304, b"")


def test_the_page_of_the_set_shows_it_and_what_is_owed(world: World, photo: Any) -> None:
    browser = client_of(world.student)
    with team_scope(world.team):
        from trapline.lines.models import Set

        page = f"/t/north/sets/{Set.objects.get().id}/"
    assert "Photo 1 is still owed by the phone." in browser.get(page).content.decode()
    put(browser, photo, a_jpeg())
    shown = browser.get(page).content.decode()
    assert f'src="/t/north/phone/photos/{photo}/"' in shown
    assert "still owed" not in shown


def test_a_photo_takes_as_many_statements_as_it_must(world: World, photo: Any) -> None:
    browser = client_of(world.student)
    put(browser, photo, a_jpeg())
    # session, person, membership, team; the file
    assert statements(browser, f"/t/north/phone/photos/{photo}/") == 5


def test_a_form_without_its_token_is_refused(world: World, photo: Any) -> None:
    browser = client_of(world.student)
    browser.handler.enforce_csrf_checks = True
    assert put(browser, photo, a_jpeg()).status_code == 403
