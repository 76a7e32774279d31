"""Photographs of a check: kept on the phone, sent after it, the same bytes on both sides."""

import base64
import hashlib
from datetime import timedelta
from io import BytesIO
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from PIL import Image
from playwright.sync_api import Page

from tests.browser.phone import ROUND, Phone, ready
from tests.browser.test_phone_leaving import HELD
from tests.pages.cast import client_of
from tests.record.pictures import CAMERA, a_jpeg
from tests.world import World
from trapline.ground import clock
from trapline.ground.scope import team_scope
from trapline.journal.models import MOST_PHOTO_BYTES, PhotoSent
from trapline.lines.models import Check, Photo
from trapline.record.keep_photo import CONFLICT, FRESH, keep_photo

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# The photos on the phone, as they lie in its store: id and bytes.
KEPT = """() => new Promise((done) => {
  const asked = indexedDB.open("lineward");
  asked.onsuccess = () => {
    const all = asked.result.transaction("photos").objectStore("photos").getAll();
    all.onsuccess = () => {
      asked.result.close();
      done(all.result.map(({ id, bytes }) =>
        [id, btoa(Array.from(new Uint8Array(bytes), (one) => String.fromCharCode(one)).join(""))]));
    };
  };
})"""


def on_the_phone(page: Page) -> dict[UUID, bytes]:
    return {UUID(name): base64.b64decode(text) for name, text in page.evaluate(KEPT)}


def at_the_server(world: World) -> dict[UUID, bytes]:
    with team_scope(world.team):
        return {one.id: bytes(one.bytes) for one in PhotoSent.objects.all()}


def damaged_with(phone: Phone, page: Page, set_id: Any, *files: Path) -> None:
    """Log a check without a signal: damaged, with photographs."""
    page.goto(f"{phone.address}{ROUND}#check/{set_id}/damaged")
    page.locator("#photos").set_input_files(list(files))
    page.get_by_text(f"Photos ready: {len(files)}.").wait_for()
    page.get_by_role("button", name="Keep the check").dblclick()  # a glove taps twice
    page.wait_for_selector("#toast p")


def out_of_signal(world: World, phone: Phone) -> Page:
    page = phone.start(client=client_of(world.student))
    page.goto(phone.address + ROUND)
    ready(page)
    assert phone.context is not None
    phone.context.set_offline(True)
    return page


def back_in_signal(world: World, phone: Phone, page: Page) -> None:
    assert phone.context is not None
    phone.sign_in(client_of(world.student))
    phone.context.set_offline(False)
    page.goto(phone.address + ROUND + "#kept")
    page.get_by_role("button", name="Send now").click()


def test_photos_kept_offline_outlive_a_kill_and_come_in_byte_for_byte(
    north: World, frail: Phone, tmp_path: Path
) -> None:
    phone = frail
    set_id = north.set("A-1", at=clock.now() - timedelta(days=1))
    large, small = tmp_path / "large.jpg", tmp_path / "small.jpg"
    # Noise is the hardest to make small: a phone's camera never comes near it.
    made = Image.effect_noise((2400, 1800), 90).convert("RGB")
    made.save(large, "JPEG", quality=95, exif=Image.open(BytesIO(a_jpeg())).getexif())
    small.write_bytes(a_jpeg())
    page = out_of_signal(north, phone)
    damaged_with(phone, page, set_id, large, small)
    kept = on_the_phone(page)
    assert len(kept) == 2
    phone.kill()
    page = phone.start(offline=True)
    page.goto(phone.address + ROUND)
    page.wait_for_selector(".sets li")
    assert on_the_phone(page) == kept
    back_in_signal(north, phone, page)
    page.wait_for_function("() => document.querySelectorAll('[data-state=sent]').length >= 1")
    page.wait_for_function("() => !document.querySelector('#main .notice')")
    assert at_the_server(north) == kept
    assert on_the_phone(page) == {}
    assert max(map(len, kept.values())) <= MOST_PHOTO_BYTES
    assert not [name for name, raw in kept.items() if CAMERA.encode() in raw]
    with team_scope(north.team):
        (check,) = Check.objects.all()  # tapped twice, kept once
        told = {one.id: bytes(one.sha256) for one in Photo.objects.filter(check_made=check)}
    assert told == {name: hashlib.sha256(raw).digest() for name, raw in kept.items()}


def test_a_refused_photo_holds_up_no_other_and_nobody_signs_out_over_it(
    north: World, phone: Phone, tmp_path: Path
) -> None:
    set_id = north.set("A-1", at=clock.now() - timedelta(days=1))
    first, other = tmp_path / "first.jpg", tmp_path / "other.jpg"
    first.write_bytes(a_jpeg())
    other.write_bytes(a_jpeg(colour="#884422"))
    page = out_of_signal(north, phone)
    damaged_with(phone, page, set_id, first, other)
    refused, taken = sorted(on_the_phone(page))
    with team_scope(north.team):
        became = keep_photo(north.student, refused, a_jpeg((9, 9)), received_at=clock.now())
    assert became == FRESH
    back_in_signal(north, phone, page)
    page.get_by_text("1 photos were refused.").wait_for()
    assert set(at_the_server(north)) == {refused, taken}
    assert set(on_the_phone(page)) == {refused}
    page.goto(phone.address + ROUND + "#phone")
    out = page.get_by_role("button", name="Sign out and wipe")
    assert out.is_disabled()
    with page.expect_download() as saved:
        page.get_by_role("button", name="Save as a file").click()
    assert str(refused) in Path(saved.value.path()).read_text()
    out.click()  # what is owed lies in the file: now all of the person's leaves the phone
    page.wait_for_url("**/sign-in/**")
    assert page.evaluate(HELD) == [0, 0, 0]
    page.goto(phone.address + "/settings/")
    assert "/sign-in/" in page.url  # and the sign-in has ended
    with team_scope(north.team):
        again = keep_photo(north.student, refused, a_jpeg(), received_at=clock.now())
    assert again == CONFLICT
