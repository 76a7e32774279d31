"""Members, licences, skills, kinds and devices: a team that begins with nothing can begin."""

from typing import Any

import pytest
from django.test import Client

from tests.findings.scene import rule, take
from tests.pages.reading import filled, form_with, words
from tests.world import START, World
from trapline.duties.models import Stage
from trapline.gear.models import DeviceKind
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.lines.models import Reading, Series
from trapline.people.models import Membership, Person
from trapline.record.desk import submit

pytestmark = pytest.mark.django_db
NEW = "moss-ladder-77"


def send(browser: Client, path: str, field: str, **typed: Any) -> Any:
    """Open a form and send it with some fields typed over."""
    return browser.post(path, filled(browser.get(path), field, **typed))


def test_a_member_is_added_and_sets_their_own_password(world: World, manager: Client) -> None:
    answer = send(
        manager,
        "/t/north/members/new/",
        "sign_in_name",
        **{"name": "Aino", "sign_in_name": "aino", "instructor": str(world.instructor.member)},
    )
    assert answer.status_code == 302, words(answer)
    page = manager.get(answer["Location"])
    assert "has no password yet" in words(page)
    linked = manager.post(f"{answer['Location']}link/")
    address = form_address(linked)
    newcomer = Client()
    opened = newcomer.get(address, follow=True)
    there = opened.redirect_chain[-1][0]
    sent = filled(opened, "new_password1", new_password1=NEW, new_password2=NEW)
    assert newcomer.post(there, sent).status_code == 302
    signed = newcomer.post("/sign-in/", {"username": "aino", "password": NEW})
    assert signed.status_code == 302
    assert newcomer.get("/")["Location"] == "/t/north/"
    assert "was used already" in words(Client().get(address))


def form_address(answer: Any) -> str:
    """The link that a manager is shown, without the host."""
    page = answer.content.decode()
    address: str = "/" + page[page.index("/password/") + 1 :].split('"')[0]
    return address


def test_the_last_manager_stays_one(world: World, manager: Client) -> None:
    path = f"/t/north/members/{world.manager.member}/"
    answer = send(manager, path, "instructor", role="member")
    assert answer.status_code == 422
    assert "Maud is the last manager. Make somebody else one first." in words(answer)
    assert form_with(answer, "instructor").values["role"] == ["member"]


def test_who_left_the_team_is_no_longer_let_in(
    world: World, manager: Client, student: Client
) -> None:
    path = f"/t/north/members/{world.student.member}/"
    assert send(manager, path, "instructor", end="1").status_code == 302
    assert student.get("/t/north/").status_code == 404
    with team_scope(world.team):
        assert Membership.objects.get(id=world.student.member).ended_at is not None


def test_a_licence_is_entered(world: World, instructor: Client) -> None:
    typed = {
        "holder": str(world.instructor.member),
        "number": "T-77",
        "authority": "The territory",
        "valid_from": "2026-01-01",
        "valid_until": "2025-01-01",
    }
    answer = send(instructor, "/t/north/members/licences/new/", "number", **typed)
    assert answer.status_code == 422
    assert "The last day lies before the first." in words(answer)
    typed["valid_until"] = "2026-06-30"
    assert send(instructor, "/t/north/members/licences/new/", "number", **typed).status_code == 302
    page = words(instructor.get("/t/north/members/"))
    assert "T-77 Ivar The territory 1 Jan 2026 – 30 Jun 2026" in page


def test_a_paper_is_entered_and_ended_and_a_hand_over_says_who_has_none(
    world: World, instructor: Client
) -> None:
    typed = {
        "licence": str(world.licence), "agent": str(world.student.member),
        "may": ["tend", "carry"], "reference": "Letter 4", "valid_from": "2025-12-01",
        "valid_until": "2099-01-01",
    }  # fmt: skip
    new = "/t/north/members/papers/new/"
    mine = typed | {"agent": str(world.instructor.member)}
    assert "they need no paper for it" in words(send(instructor, new, "agent", **mine))
    assert send(instructor, new, "agent", **typed).status_code == 302
    page = instructor.get("/t/north/members/")
    assert "Signe T-north tend, carry Letter 4 1 Dec 2025 – 1 Jan 2099" in words(page)
    take(world, rule("agents", "agent", "may", {"tend": True, "paper": "A letter"}))
    set_id = world.set("A-1")
    offered = words(instructor.get(f"/t/north/sets/{set_id}/hand-over/"))
    assert "Maud (no paper for this licence)" in offered
    assert "Signe (no paper" not in offered and "Ivar (no paper" not in offered
    path = "/t/north/members/papers/" + page.content.decode().split("/members/papers/")[1][:37]
    ended = typed | {"valid_until": "2025-12-31"}
    assert send(instructor, path, "agent", **ended).status_code == 302
    assert "31 Dec 2025 has ended" in words(instructor.get("/t/north/members/"))
    offered = words(instructor.get(f"/t/north/sets/{set_id}/hand-over/"))
    assert "Signe (no paper for this licence)" in offered


def test_a_sign_off_is_given_and_ended(world: World, instructor: Client) -> None:
    typed = {"member": str(world.student.member), "skill": str(world.skills["dispatch"])}
    assert send(instructor, "/t/north/members/sign-off/", "act", **typed).status_code == 302
    page = instructor.get("/t/north/members/")
    assert "Signe Member May do alone: dispatch end" in words(page)
    text = page.content.decode()
    end = "/t/north/members/sign-offs/" + text.split("/members/sign-offs/")[1].split('"')[0]
    assert "Signe, dispatch, signed off by Ivar." in words(instructor.get(end))
    assert send(instructor, end, "act").status_code == 302
    assert "May do alone: dispatch" not in words(instructor.get("/t/north/members/"))


def test_a_tag_book_is_entered_once(world: World, instructor: Client) -> None:
    typed = {"licence": str(world.licence), "kind": "seal", "first": "1", "last": "20"}
    path = "/t/north/members/numbers/"
    assert send(instructor, path, "first", **typed).status_code == 302
    assert "T-north Seal 1 – 20 0 0 20 1" in words(instructor.get("/t/north/members/"))
    again = send(instructor, path, "first", **(typed | {"first": "15", "last": "30"}))
    assert again.status_code == 422
    assert b'id="id_first_error"' in again.content


def test_the_numbers_to_call_are_kept_in_their_order(world: World, manager: Client) -> None:
    path = "/t/north/members/calls/"
    refused = send(manager, path, "numbers", numbers="Duty instructor +1 867 555 0142")
    assert "Line 1: write a name, a colon and the number." in words(refused)
    typed = "Duty instructor: +1 867 555 0142\nThe agency: 867-555-0100"
    assert send(manager, path, "numbers", numbers=typed).status_code == 302
    page = words(manager.get("/t/north/members/"))
    assert page.index("+1 867 555 0142") < page.index("867-555-0100")


def test_kinds_are_entered_and_devices_built_of_them(world: World, instructor: Client) -> None:
    cable = {"role": "cable", "name": "cable 2.4 mm 7x7", "diameter_m": "2.4"}
    assert send(instructor, "/t/north/gear/parts/new/", "construction", **cable).status_code == 302
    kind = {
        "name": "restraint",
        "device_class": "cable_restraint",
        "action": "holding",
        "part-cable": "spent",
        "part-swivel": "freed",
    }
    assert send(instructor, "/t/north/gear/kinds/new/", "jaw_spread_m", **kind).status_code == 302
    page = instructor.get("/t/north/gear/")
    assert "Cable spent by a catch , Swivel back to stock" in words(page)
    with team_scope(world.team):
        path = f"/t/north/gear/kinds/{DeviceKind.objects.get(name='restraint').id}/build/"
    opened = instructor.get(path)
    chosen = {
        name: value
        for name, value in _first_choices(opened).items()
        if name in ("part-cable", "part-swivel")
    }
    refused = instructor.post(path, filled(opened, "marks", marks="R-1\nR-1", **chosen))
    assert "A mark stands here twice." in words(refused)
    built = instructor.post(path, filled(opened, "marks", marks="R-1\nR-2", **chosen))
    assert built.status_code == 302, words(built)
    page_words = words(instructor.get("/t/north/gear/"))
    assert "R-1 restraint Cable, Swivel in store" in page_words
    assert "R-2 restraint Cable, Swivel in store" in page_words


def _first_choices(answer: Any) -> dict[str, str]:
    """The first real choice of each list on a page."""
    found = {}
    for part in answer.content.decode().split("<select ")[1:]:
        name = part.split('name="')[1].split('"')[0]
        values = [one.split('"')[0] for one in part.split("</select>")[0].split('value="')[1:]]
        found[name] = next(value for value in values if value)
    return found


def test_a_catch_shows_in_the_gear(world: World, instructor: Client, student: Client) -> None:
    set_id = world.set("A-1")
    path = f"/t/north/sets/{set_id}/check/"
    typed = {
        "found": "animal",
        "done": ["remade"],
        "catch-0-species": str(world.species["marten"]),
        "catch-0-alive_on_arrival": "no",
        "catch-0-fate": "found_dead",
    }
    assert send(student, path, "note", **typed).status_code == 302
    page = words(instructor.get("/t/north/gear/"))
    assert "A-1-device snare lacks Cable lacks Lock lacks Swivel A-1" in page
    # In devices, in stock, to inspect, spent, gone
    assert "Cable cable as bought 0 0 0 1 0" in page
    assert "Lock lock as bought 0 0 1 0 0" in page


def test_a_team_says_who_is_told_when(world: World, manager: Client) -> None:
    path = "/t/north/notices/stages/"
    opened = manager.get(path)
    shown = form_with(opened, "check-hours-0").values
    assert [shown[f"check-{name}-0"] for name in ("hours", "side", "who")] == [
        ["4"],
        ["before"],
        ["responsible"],
    ]
    wrong = {"check-who-3": "managers", "check-hours-3": ""}
    refused = manager.post(path, filled(opened, "check-hours-0", **wrong))
    assert refused.status_code == 422
    assert "Say how many hours" in words(refused)
    sound = wrong | {"check-hours-3": "12.5", "check-side-3": "after"}
    assert manager.post(path, filled(opened, "check-hours-0", **sound)).status_code == 302
    kept = Stage.objects.filter(team_id=world.team, kind="check").order_by("offset_s")
    assert [(one.offset_s, one.recipient) for one in kept] == [
        (-4 * 3600, "responsible"),
        (0, "responsible"),
        (3600, "instructor"),
        (45000, "managers"),
    ]


def test_a_reading_is_kept_in_si_whatever_it_was_typed_in(world: World, manager: Client) -> None:
    Person.objects.filter(sign_in_name="maud.north").update(units="imperial")
    path = f"/t/north/lines/{world.line}/reading/"
    assert send(manager, path, "value", what="air_c", value="5").status_code == 302
    assert send(manager, path, "value", what="snow_depth_m", value="10").status_code == 302
    with team_scope(world.team):
        kept = dict(Reading.objects.values_list("what", "value"))
    assert kept == {"air_c": -15.0, "snow_depth_m": pytest.approx(0.254)}  # both by definition


def test_a_number_is_set_aside_and_the_book_says_so(world: World, instructor: Client) -> None:
    book = {"licence": world.licence, "kind": "site_tag", "prefix": "N-", "first": 1, "last": 9}
    submit(world.manager, "issue_numbers", book, at=START, now=START)
    address = "/t/north/members/numbers/aside/"
    with team_scope(world.team):
        series = str(Series.objects.get().id)
    sent = filled(instructor.get(address), "series", series=series, number="4", use="lost")
    answer = instructor.post(address, sent)
    assert answer.status_code == 302, words(answer)
    assert "N-1 – N-9 0 1 8 N-1" in words(instructor.get("/t/north/members/"))
    again = instructor.post(address, sent | {"act": str(new_id())})
    assert again.status_code == 422
    assert filled(again, "series")["number"] == ["4"]
