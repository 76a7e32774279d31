"""The right caution stands where the act is done: on its form, in the API's words, on one page."""

import re
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils.translation import override

from tests.api.ids import api_ids
from tests.pages.reading import words
from tests.world import START, World
from trapline.duties.models import Duty
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.ground.words_of_cautions import CAUTIONS, LOCAL, OF_ACTS, cautions_of
from trapline.lines.models import Catch
from trapline.record.desk import submit
from trapline.record.kinds import KINDS

pytestmark = pytest.mark.django_db
# Where each act has its form. An act that gets a caution needs a line here.
FORMS = {
    "place_set": "sets/new/",
    "log_check": "sets/{body}/check/",
    "correct_check": "sets/{body}/checks/{check}/correct/",
    "animal_waiting": "sets/{body}/waiting/",
    "close_waiting": "waiting/{waiting}/end/",
    "pull_set": "sets/{body}/pull/",
    "close_as_lost": "sets/{body}/lost/",
    "hand_over": "sets/{body}/hand-over/",
    "build_device": "gear/kinds/{kind}/build/",
    "take_reading": "lines/{line}/reading/",
    "give_evidence": "duties/{duty}/done/",
    "move_pelts": "animals/fur/",
    "judge_meat": "animals/{animal}/meat/",
    "share_meat": "animals/{animal}/eaten/",
    "take_sample": "animals/{animal}/sample/",
    "hand_in_samples": "animals/samples/",
    "take_back": "animals/{animal}/sample/{sample}/back/",
}


def shown_on(answer: Any) -> set[str]:
    return set(re.findall(r'data-caution="(\w+)"', answer.content.decode()))


@pytest.fixture
def there(world: World) -> dict[str, Any]:
    """A body-gripping trap under ice, with a check, an animal waiting and one to be reported."""
    body = world.set("B-1", "body", placement="under_ice")
    waiting = {"waiting": new_id(), "set": body}
    submit(world.student, "animal_waiting", waiting, at=START, now=START)
    check = world.check(world.student, body, START + timedelta(hours=1))
    ids = api_ids(world, body, world.set("A-1"))
    with team_scope(world.team):
        catch = Catch.objects.get(id=ids["catch"])
        duty = Duty.objects.create(
            team_id=world.team, kind="report", caught=catch, of_line_id=world.line,
            basis_at=START, due_at=START,
        )  # fmt: skip
    sample = {"sample": new_id(), "animal": catch.animal, "what": "tooth", "label": "L-1"}
    submit(world.instructor, "take_sample", sample, at=catch.at, now=catch.at)
    return {
        "body": body, "check": check, "waiting": waiting["waiting"], "line": world.line,
        "kind": world.kinds["body"], "duty": duty.id, "animal": catch.animal,
        "sample": sample["sample"],
    }  # fmt: skip


def test_every_act_with_a_caution_is_one_and_has_its_form() -> None:
    assert set(OF_ACTS) <= set(KINDS)
    assert set(OF_ACTS) == set(FORMS)
    assert {code for codes in OF_ACTS.values() for code in codes} == set(CAUTIONS)


@pytest.mark.parametrize("act", OF_ACTS)
def test_the_form_of_an_act_shows_each_of_its_cautions(
    there: dict[str, Any], manager: Client, act: str
) -> None:
    if act == "correct_check":
        return
    answer = manager.get(f"/t/north/{FORMS[act].format(**there)}")
    assert answer.status_code == 200
    of_the_set = "" if act == "place_set" else "body_gripping"
    wanted = {one.code for one in cautions_of(act, device_class=of_the_set)}
    assert shown_on(answer) == wanted
    assert act in ("hand_over", "close_as_lost", "give_evidence", "take_back") or str(
        LOCAL
    ) in words(answer)


def test_a_correction_is_written_under_the_same_words_about_the_record(
    there: dict[str, Any], manager: Client
) -> None:
    answer = manager.get(f"/t/north/{FORMS['correct_check'].format(**there)}")
    assert shown_on(answer) == {"record"}


def test_a_snare_on_land_brings_no_word_of_springs_or_ice(world: World, manager: Client) -> None:
    snare = world.set("A-1")
    shown = shown_on(manager.get(f"/t/north/sets/{snare}/check/"))
    assert not shown & {"body_gripping", "springs", "ice"}
    assert {"dispatch", "carcass", "record"} <= shown


@pytest.mark.parametrize(
    ("device_class", "placement", "codes"),
    [
        ("body_gripping", "land", {"body_gripping", "springs"}),
        ("foothold_coil", "water_edge", {"springs", "ice"}),
        ("cage", "under_ice", {"ice"}),
        ("snare", "elevated", set()),
    ],
)
def test_device_and_placement_decide_what_is_said(
    device_class: str, placement: str, codes: set[str]
) -> None:
    found = cautions_of("pull_set", device_class=device_class, placement=placement)
    assert {one.code for one in found} - {"record"} == codes


def test_all_cautions_stand_on_one_page(world: World, student: Client) -> None:
    answer = student.get("/t/north/cautions/")
    assert shown_on(answer) == set(CAUTIONS)
    assert str(LOCAL) in words(answer)


def test_the_api_says_them_where_the_act_is_called() -> None:
    schema = Client().get("/api/v1/schema/").json()
    said = {
        call["operationId"]: call.get("description", "")
        for calls in schema["paths"].values()
        for call in calls.values()
        if isinstance(call, dict) and "operationId" in call
    }
    for act in OF_ACTS:
        lines = [f"- **{one.title}.** {one.text}" for one in cautions_of(act)]
        wanted = "\n".join(lines) + f"\n\n{LOCAL}"
        assert any(text.endswith(wanted) for text in said.values()), act


def test_a_caution_says_what_to_do_and_ends() -> None:
    with override("en"):
        for one in CAUTIONS.values():
            assert re.match(r"[A-Z].*\.$", str(one.text)), one.code
            assert len(str(one.text)) <= 320, "a margin note, not a sermon"
