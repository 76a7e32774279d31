"""What rules ask beside visits is a duty: opened by the act, moved by rules and corrections, closed

by evidence or by the pull. Due moments by hand, in the line's zone (UTC-7 all the year).
"""

from copy import deepcopy
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.record.acting import do, refusal
from tests.world import RULEBOOK, START, World
from trapline.duties.models import Duty, Evidence, Stage
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.lines.models import Catch
from trapline.record.desk import submit
from trapline.watch.redue import redue
from trapline.watch.sweep import sweep

MIDDAY = START + timedelta(hours=1)  # 5 January, 12:00 in the line's zone
SEASON: dict[str, Any] = {
    "code": "marten-season", "matter": "season", "authority": "territory", "form": "each_year",
    "species": ["marten"], "params": {"opens_on": "11-01", "closes_on": "03-15"},
}  # fmt: skip
REPORT: dict[str, Any] = {
    "code": "tell-non-target", "matter": "report", "authority": "territory",
    "form": "within_hours", "params": {"of": "non_target", "hours": 24},
}  # fmt: skip
SEAL: dict[str, Any] = {
    "code": "seal-marten", "matter": "seal", "authority": "territory", "form": "of_catch",
    "species": ["marten"], "params": {"what": "seal", "days": 5},
}  # fmt: skip
FILE: dict[str, Any] = {
    "code": "harvest-report", "matter": "report", "authority": "territory", "form": "by_date",
    "params": {"of": "harvest", "on": "04-30"},
}  # fmt: skip
# The end of 15 March. Whitehorse has kept UTC-7 all the year since 2020 (tz database).
CLOSE = datetime(2026, 3, 16, 7, tzinfo=UTC)


def take(world: World, *rules: dict[str, Any], at: datetime = START) -> None:
    """The world's rulebook with these rules beside its own, from 1 January on."""
    document = deepcopy(RULEBOOK) | {"in_force_from": "2026-01-01T00:00:00-07:00"}
    document["rules"] = [*document["rules"], *rules]
    submit(world.manager, "take_rulebook", {"document": document}, at=at, now=at)
    redue(at)


def catch(world: World, **said: Any) -> dict[str, Any]:
    return {
        "animal": new_id(), "species": world.species["marten"], "alive_on_arrival": False,
        "fate": "found_dead", **said,
    }  # fmt: skip


def caught(world: World, set_id: UUID, *catches: dict[str, Any], at: datetime = MIDDAY) -> UUID:
    return world.check(
        world.student, set_id, at, found="animal", done=["left"], catches=list(catches)
    )


def duties(world: World, *kinds: str) -> list[tuple[str, str, datetime | None]]:
    with team_scope(world.team):
        found = Duty.objects.filter(kind__in=kinds).order_by("due_at", "state")
        return list(found.values_list("kind", "state", "due_at"))


def lynx(world: World, **said: Any) -> dict[str, Any]:
    return catch(
        world, species=world.species["lynx"], alive_on_arrival=True, fate="released",
        condition="unhurt", **said,
    )  # fmt: skip


def test_a_non_target_animal_is_to_be_reported_within_its_hours(world: World) -> None:
    take(world, REPORT)
    set_id = world.set("A-1")
    caught(world, set_id, lynx(world))
    assert duties(world, "report") == [("report", "open", MIDDAY + timedelta(hours=24))]
    with team_scope(world.team):
        duty = Duty.objects.get(kind="report")
    assert (duty.who_id, duty.of_line_id, duty.asked) == (
        world.student.member, world.line, "tell-non-target",
    )  # fmt: skip


def test_a_target_animal_is_reported_only_where_any_catch_is(world: World) -> None:
    take(world, REPORT)
    set_id = world.set("A-1")
    caught(world, set_id, catch(world))
    assert duties(world, "report") == []
    take(world, REPORT, {**REPORT, "code": "tell-all", "params": {"of": "any_catch", "hours": 48}})
    caught(world, set_id, catch(world), at=MIDDAY + timedelta(hours=1))
    with team_scope(world.team):
        assert set(Duty.objects.filter(kind="report").values_list("asked", flat=True)) == {
            "tell-all"
        }


@pytest.mark.parametrize(
    ("rule", "due"),
    [
        (SEAL, datetime(2026, 1, 11, 7, tzinfo=UTC)),  # the end of 10 January
        (
            {**SEAL, "form": "of_close", "params": {"what": "seal", "days": 10}},
            CLOSE + timedelta(days=10),
        ),
    ],
)
def test_a_pelt_is_sealed_within_days_of_the_catch_or_of_the_close(
    world: World, rule: dict[str, Any], due: datetime
) -> None:
    take(world, SEASON, rule)
    caught(world, world.set("A-1"), catch(world))
    assert duties(world, "seal") == [("seal", "open", due)]


@pytest.mark.parametrize("said", [{"fate": "released"}, {"seal": "S-1"}])
def test_what_was_let_go_or_sealed_on_the_spot_is_not_asked_for(
    world: World, said: dict[str, Any]
) -> None:
    take(world, SEAL)
    books = {"licence": world.licence, "kind": "seal", "prefix": "S-", "first": 1, "last": 9}
    do(world.instructor, "issue_numbers", books)
    if "fate" in said:
        said = said | {"alive_on_arrival": True, "condition": "unhurt"}
    caught(world, world.set("A-1"), catch(world, **said))
    assert duties(world, "seal") == []


def test_evidence_closes_the_duty_once(world: World) -> None:
    take(world, REPORT)
    caught(world, world.set("A-1"), lynx(world))
    with team_scope(world.team):
        duty = Duty.objects.get(kind="report")
    given = {"evidence": new_id(), "duty": duty.id, "number": "R-77", "on": "2026-01-05"}
    later = MIDDAY + timedelta(hours=3)
    done = submit(world.student, "give_evidence", given, at=later, now=later)
    assert done.state == "applied"
    assert duties(world, "report")[0][:2] == ("report", "done")
    with team_scope(world.team):
        assert Evidence.objects.get().number == "R-77"
        assert Duty.objects.get(id=duty.id).done_at == later
    again = {**given, "evidence": new_id()}
    assert refusal(world.student, "give_evidence", again) == ("duty", "duty_not_open")


def test_evidence_says_something_and_belongs_to_such_a_duty(
    world: World, other_world: World
) -> None:
    take(world, REPORT)
    set_id = world.set("A-1", responsible=world.instructor)
    world.check(
        world.instructor, set_id, MIDDAY, found="animal", done=["left"], catches=[lynx(world)]
    )
    with team_scope(world.team):
        duty = Duty.objects.get(kind="report")
        check = Duty.objects.get(kind="check", state="open")
    given = {"evidence": new_id(), "duty": duty.id, "on": "2026-01-05"}
    assert refusal(world.instructor, "give_evidence", given) == ("number", "evidence_empty")
    numbered = {**given, "number": "R-1"}
    assert refusal(world.student, "give_evidence", numbered) == ("duty", "waits_for")
    assert refusal(other_world.manager, "give_evidence", numbered) == ("duty", "waits_for")
    of_check = {**numbered, "duty": check.id}
    assert refusal(world.instructor, "give_evidence", of_check) == ("duty", "evidence_other_kind")
    of_another = {**given, "photo": new_id()}
    assert refusal(world.instructor, "give_evidence", of_another) == ("photo", "waits_for")
    do(world.instructor, "give_evidence", {**given, "note": "By telephone."})


def test_a_correction_takes_the_duty_back_or_hands_it_on(world: World) -> None:
    take(world, REPORT)
    set_id, animal = world.set("A-1"), lynx(world)
    wrong = caught(world, set_id, animal)
    due = MIDDAY + timedelta(hours=24)
    again = {
        "check": new_id(), "set": set_id, "found": "animal", "done": ["left"],
        "catches": [{**animal, "condition": "limping"}],
    }  # fmt: skip
    do(world.student, "correct_check", {"corrects": wrong, "check": again})
    assert duties(world, "report") == [("report", "open", due)]
    with team_scope(world.team):
        now = Duty.objects.get(kind="report")
        assert now.caught_id == Catch.objects.get(check_made_id=again["check"]).id
    marten = {**again, "check": new_id(), "catches": [catch(world, animal=animal["animal"])]}
    do(world.student, "correct_check", {"corrects": again["check"], "check": marten})
    assert duties(world, "report") == [("report", "cancelled", due)]


def test_a_withdrawn_check_asks_nothing_and_what_was_shown_stays_shown(world: World) -> None:
    take(world, REPORT, {**REPORT, "code": "tell-all", "params": {"of": "any_catch", "hours": 9}})
    wrong = caught(world, world.set("A-1"), lynx(world))
    with team_scope(world.team):
        duty = Duty.objects.get(asked="tell-all")
    given = {"evidence": new_id(), "duty": duty.id, "number": "R-1", "on": "2026-01-05"}
    do(world.student, "give_evidence", given)
    do(world.student, "correct_check", {"corrects": wrong, "withdraw": True})
    assert sorted(state for _, state, _ in duties(world, "report")) == ["cancelled", "done"]


def test_a_rule_change_moves_what_is_open_and_asks_nothing_of_the_past(world: World) -> None:
    take(world, REPORT)
    set_id = world.set("A-1")
    caught(world, set_id, lynx(world))
    take(world, {**REPORT, "params": {"of": "non_target", "hours": 12}})
    assert duties(world, "report") == [("report", "open", MIDDAY + timedelta(hours=12))]
    take(world)
    assert duties(world, "report") == [("report", "cancelled", MIDDAY + timedelta(hours=12))]
    document = deepcopy(RULEBOOK) | {"in_force_from": "2026-01-06T00:00:00-07:00"}
    document["rules"] = [*document["rules"], REPORT]
    later = MIDDAY + timedelta(days=2)
    submit(world.manager, "take_rulebook", {"document": document}, at=later, now=later)
    redue(later)
    assert [state for _, state, _ in duties(world, "report")] == ["cancelled"]


def test_the_same_rules_again_change_nothing(world: World) -> None:
    take(world, SEASON, REPORT, SEAL, FILE)
    caught(world, world.set("A-1"), lynx(world), catch(world))
    kinds = ("report", "seal", "pull", "file")
    before = duties(world, *kinds)
    assert [kind for kind, _, _ in before] == ["report", "seal", "pull", "file"]
    take(world, SEASON, REPORT, SEAL, FILE)
    assert duties(world, *kinds) == before


def test_who_was_told_of_a_moment_that_moved_is_told_again(world: World) -> None:
    with team_scope(world.team):
        Stage.objects.create(
            team_id=world.team, kind="report", number=1, offset_s=-3600, recipient="responsible"
        )
    take(world, REPORT)
    caught(world, world.set("A-1"), lynx(world))
    sweep(MIDDAY + timedelta(hours=23, minutes=30))
    take(world, {**REPORT, "params": {"of": "non_target", "hours": 48}}, at=MIDDAY)
    assert [state for _, state, _ in duties(world, "report")] == ["cancelled", "open"]
    sweep(MIDDAY + timedelta(hours=48))
    assert [state for _, state, _ in duties(world, "report")] == ["cancelled", "overdue"]


def test_a_set_is_to_be_pulled_before_its_season_closes_and_the_pull_closes_it(
    world: World,
) -> None:
    take(world, SEASON)
    set_id = world.set("A-1")
    assert duties(world, "pull") == [("pull", "open", CLOSE)]
    do(world.student, "pull_set", {"set": set_id})
    assert duties(world, "pull") == [("pull", "done", CLOSE)]


def test_a_set_for_two_species_is_pulled_before_the_first_close(world: World) -> None:
    noon = {"opens_on": "12-01", "closes_on": "01-31", "closes_by": "12:00"}
    early = {**SEASON, "code": "lynx-season", "species": ["lynx"], "params": noon}
    take(world, SEASON, early)
    world.set("A-1", targets=[world.species["marten"], world.species["lynx"]])
    assert duties(world, "pull") == [("pull", "open", datetime(2026, 1, 31, 19, tzinfo=UTC))]


def test_a_season_that_moves_moves_the_pull_and_one_that_goes_takes_it_back(world: World) -> None:
    take(world, SEASON)
    world.set("A-1")
    take(world, {**SEASON, "params": {"opens_on": "11-01", "closes_on": "02-28"}})
    assert duties(world, "pull") == [("pull", "open", datetime(2026, 3, 1, 7, tzinfo=UTC))]
    take(world)
    assert [state for _, state, _ in duties(world, "pull")] == ["cancelled"]


def test_between_authorities_the_first_close_binds(world: World) -> None:
    ours = {**SEASON, "code": "team-season", "authority": "team",
            "params": {"opens_on": "11-15", "closes_on": "02-10"}}  # fmt: skip
    take(world, SEASON, ours)
    world.set("A-1")
    assert duties(world, "pull") == [("pull", "open", datetime(2026, 2, 11, 7, tzinfo=UTC))]


def test_a_report_is_to_be_filed_for_each_licence_by_its_day(world: World) -> None:
    take(world, FILE)
    due = datetime(2026, 5, 1, 7, tzinfo=UTC)  # the end of 30 April
    assert duties(world, "file") == [("file", "open", due)]
    another = {
        "licence": new_id(), "holder": world.student.member, "number": "T-2", "authority": "x",
        "valid_from": "2026-02-01", "valid_until": "2026-12-31",
    }  # fmt: skip
    do(world.instructor, "give_licence", another)
    # Its first 90 days reach past 30 April, so it is the one after it ends.
    assert duties(world, "file")[1] == ("file", "open", datetime(2027, 5, 1, 7, tzinfo=UTC))
    with team_scope(world.team):
        own = Duty.objects.get(licence_id=another["licence"])
    given = {"evidence": new_id(), "duty": own.id, "number": "F-9", "on": "2026-05-02"}
    do(world.student, "give_evidence", given)
    take(world, FILE)
    assert [state for _, state, _ in duties(world, "file")] == ["open", "done"]


def test_a_check_without_a_catch_costs_nothing_more(world: World) -> None:
    take(world, SEASON, REPORT, SEAL, FILE)
    set_id = world.set("A-1")
    world.check(world.student, set_id, MIDDAY)
    with CaptureQueriesContext(
        connection,
    ) as seen:
        world.check(world.student, set_id, MIDDAY + timedelta(hours=1))
    assert not [one for one in seen if "'seal'" in one["sql"]]


def test_a_catch_of_which_something_is_asked_costs_one_statement_more(world: World) -> None:
    def count(animal: dict[str, Any], hours: int) -> int:
        with CaptureQueriesContext(connection) as seen:
            caught(world, set_id, animal, at=MIDDAY + timedelta(hours=hours))
        return len(seen)

    take(world, REPORT)
    set_id = world.set("A-1")
    caught(world, set_id, lynx(world))  # the version is read once a process
    assert count(lynx(world), 2) == count(catch(world), 3) + 1
