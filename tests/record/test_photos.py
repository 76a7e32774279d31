"""A photograph of a check: told of by an act, its file kept once and as it came."""

import hashlib
from datetime import timedelta
from io import BytesIO

import pytest
from django.db import IntegrityError, connection, transaction
from PIL import Image

from tests.ground.record_tables import refused
from tests.record.acting import do, refusal
from tests.record.phone import became, kept, sent
from tests.record.pictures import CAMERA, a_jpeg, told_of
from tests.world import START, World
from trapline.duties.selectors import timeline
from trapline.ground.errors import NotYours, Refused
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.journal.models import MOST_PHOTO_BYTES, PhotoSent
from trapline.record.desk import retry
from trapline.record.keep_photo import keep_photo
from trapline.standing.selectors import photo_file

pytestmark = pytest.mark.django_db
AT = START + timedelta(hours=3)


def comes_in(world: World, photo, raw: bytes, **more) -> str:  # type: ignore[no-untyped-def]
    """The file, put by the student."""
    with team_scope(world.team):
        return keep_photo(world.student, photo, raw, received_at=AT, **more)


def bytes_of(world: World, photo) -> bytes:  # type: ignore[no-untyped-def]
    with team_scope(world.team):
        return bytes(PhotoSent.objects.get(id=photo).bytes)


def test_the_check_stands_without_its_photo_and_shows_it_as_owed_until_it_is_there(
    world: World,
) -> None:
    set_id, raw, photo = world.set("S1"), a_jpeg(), new_id()
    check = world.check(world.student, set_id, AT)
    do(world.student, "attach_photo", told_of(photo, check, raw), AT)

    def shown() -> object:
        with team_scope(world.team):
            return timeline(world.team, set_id)[0].told["photos"]

    assert shown() == [{"id": str(photo), "here": False}]
    assert comes_in(world, photo, raw) == "fresh"
    assert shown() == [{"id": str(photo), "here": True}]
    assert bytes_of(world, photo) == raw


def test_the_same_file_again_is_known_and_another_under_its_id_changes_nothing(
    world: World,
) -> None:
    photo, raw = new_id(), a_jpeg()
    assert comes_in(world, photo, raw) == "fresh"
    assert comes_in(world, photo, raw) == "known"
    assert comes_in(world, photo, a_jpeg(colour="#112233")) == "conflict"
    assert bytes_of(world, photo) == raw


def test_a_file_may_come_before_the_act_that_tells_of_it(world: World) -> None:
    photo, raw = new_id(), a_jpeg()
    check = world.check(world.student, world.set("S1"), AT)
    comes_in(world, photo, raw)
    do(world.student, "attach_photo", told_of(photo, check, raw), AT)
    with team_scope(world.team):
        assert photo_file(world.team, photo, world.student.member)[0] == raw


def test_a_file_other_than_the_act_told_of_is_a_conflict_and_is_not_kept(world: World) -> None:
    photo = new_id()
    check = world.check(world.student, world.set("S1"), AT)
    do(world.student, "attach_photo", told_of(photo, check, a_jpeg()), AT)
    assert comes_in(world, photo, a_jpeg(colour="#112233")) == "conflict"
    with team_scope(world.team):
        assert not PhotoSent.objects.exists()


def test_another_teams_id_cannot_be_written_over_nor_seen(world: World, other_world: World) -> None:
    photo, raw = new_id(), a_jpeg()
    comes_in(other_world, photo, raw)
    assert comes_in(world, photo, raw) == "conflict"
    with team_scope(world.team), pytest.raises(NotYours):
        photo_file(world.team, photo, None)


def test_who_may_see_the_set_or_made_the_check_gets_the_photo_and_nobody_else(world: World) -> None:
    raw, photo, own = a_jpeg(), new_id(), new_id()
    others = world.check(world.instructor, world.set("S1", responsible=world.instructor), AT)
    do(world.instructor, "attach_photo", told_of(photo, others, raw), AT)
    mine = world.check(world.student, world.set("S2"), AT)
    do(world.student, "attach_photo", told_of(own, mine, raw), AT)
    comes_in(world, photo, raw)
    comes_in(world, own, raw)
    with team_scope(world.team):
        assert photo_file(world.team, photo, None)[0] == raw
        assert photo_file(world.team, own, world.student.member)[0] == raw
        with pytest.raises(NotYours):
            photo_file(world.team, photo, world.student.member)


def test_a_photo_of_a_check_that_is_not_there_and_of_anothers_look_the_same(world: World) -> None:
    others = world.check(world.instructor, world.set("S1", responsible=world.instructor), AT)
    unknown = refusal(world.student, "attach_photo", told_of(new_id(), new_id(), a_jpeg()), AT)
    forbidden = refusal(world.student, "attach_photo", told_of(new_id(), others, a_jpeg()), AT)
    assert unknown == forbidden == ("check", "waits_for")


def test_an_act_before_its_check_is_held_and_its_photo_is_kept(world: World) -> None:
    set_id, check, photo, raw = world.set("S1"), new_id(), new_id(), a_jpeg()
    outcome = sent(world, world.student, "attach_photo", told_of(photo, check, raw), AT)
    assert became(outcome)[0] == "held"
    assert kept(world, outcome).waits_for == check
    assert comes_in(world, photo, raw) == "fresh"
    world.check(world.student, set_id, AT, check=check)
    assert outcome.act is not None
    assert retry(world.student, outcome.act, AT).state == "applied"
    with team_scope(world.team):
        assert photo_file(world.team, photo, world.student.member)[0] == raw


def test_the_same_photo_is_attached_once(world: World) -> None:
    photo, raw = new_id(), a_jpeg()
    check = world.check(world.student, world.set("S1"), AT)
    do(world.student, "attach_photo", told_of(photo, check, raw), AT)
    again = refusal(world.student, "attach_photo", told_of(photo, check, raw), AT)
    assert again == ("photo", "photo_attached_before")


@pytest.mark.parametrize(
    ("raw", "code"),
    [
        (b"", "not_a_photo"),
        (b"no picture", "not_a_photo"),
        (a_jpeg()[:-40], "not_a_photo"),
        (b"GIF89a\x01\x00\x01\x00\x00\x00\x00;", "not_a_photo"),
        (b"\xff" * (MOST_PHOTO_BYTES + 1), "too_large"),
    ],
    ids=["empty", "text", "half", "another form", "too large"],
)
def test_what_is_no_photo_of_at_most_400_kib_is_refused(
    world: World, raw: bytes, code: str
) -> None:
    with pytest.raises(Refused) as caught:
        comes_in(world, new_id(), raw)
    assert caught.value.problems[0].code == code


def test_a_small_file_that_unpacks_into_a_huge_picture_is_refused(world: World) -> None:
    made = BytesIO()
    Image.new("L", (8000, 6000)).save(made, "PNG", optimize=True)
    assert len(made.getvalue()) < MOST_PHOTO_BYTES
    with pytest.raises(Refused):
        comes_in(world, new_id(), made.getvalue())


def test_a_file_that_was_damaged_on_its_way_is_refused(world: World) -> None:
    photo, raw = new_id(), a_jpeg()
    with pytest.raises(Refused) as caught:
        comes_in(world, photo, raw, said_sha256=hashlib.sha256(b"another").hexdigest())
    assert caught.value.problems[0].code == "photo_damaged"
    assert comes_in(world, photo, raw, said_sha256=hashlib.sha256(raw).hexdigest()) == "fresh"


def test_a_kept_file_can_be_neither_changed_nor_deleted_nor_too_large(world: World) -> None:
    photo = new_id()
    comes_in(world, photo, a_jpeg())
    refused("UPDATE journal_photosent SET bytes = bytes")
    refused("DELETE FROM journal_photosent")
    large = (
        "INSERT INTO journal_photosent (id, team_id, media_type, bytes, sent_by_id, received_at)"
        " SELECT uuid7(), team_id, media_type, decode(repeat('00', 409601), 'hex'), sent_by_id,"
        " received_at FROM journal_photosent"
    )
    with pytest.raises(IntegrityError, match="400_kib"), transaction.atomic():
        connection.cursor().execute(large)


def test_the_pictures_of_the_tests_carry_what_a_camera_writes() -> None:
    with Image.open(BytesIO(a_jpeg())) as image:
        assert CAMERA in str(dict(image.getexif()))
        assert CAMERA.encode() in image.info["comment"]
