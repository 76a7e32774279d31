"""A permission's renewal is a duty: opened by its dates, moved with them, closed by new ones."""

from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import UUID

import pytest

from tests.record.acting import do, refusal
from tests.record.test_settling_land import permission
from tests.world import START, World
from trapline.duties.models import Duty, Notice, Stage, Transition
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.land.models import Permission
from trapline.record.desk import submit
from trapline.watch.sweep import sweep

# 31 March less 30 days is 1 March; its end in the line's zone (UTC-7) is 2 March 07:00 UTC.
DUE = datetime(2026, 3, 2, 7, tzinfo=UTC)


def kept(world: World, **other: Any) -> dict[str, Any]:
    body = permission(**other)
    do(world.manager, "keep_permission", body)
    return body


def duties(world: World) -> list[tuple[str, datetime | None]]:
    with team_scope(world.team):
        found = Duty.objects.filter(kind="renew").order_by("due_at", "state")
        return list(found.values_list("state", "due_at"))


def stages(world: World) -> None:
    with team_scope(world.team):
        for number, offset in enumerate((-14 * 86_400, 0), start=1):
            Stage.objects.create(
                team_id=world.team, kind="renew", number=number, offset_s=offset,
                recipient="managers",
            )  # fmt: skip


def test_a_permission_is_to_be_renewed_thirty_days_before_it_ends(world: World) -> None:
    kept(world)
    assert duties(world) == [("open", DUE)]


def test_the_earliest_clock_of_the_team_decides(world: World) -> None:
    line = {"line": new_id(), "name": "East line", "tz": "Europe/Helsinki", "travel": "ski"}
    do(world.instructor, "draw_line", line)
    kept(world)
    assert duties(world) == [("open", datetime(2026, 3, 1, 22, tzinfo=UTC))]


def test_a_permission_shorter_than_the_days_is_due_at_its_own_end(world: World) -> None:
    kept(world, valid_from="2026-03-20")
    assert duties(world) == [("open", datetime(2026, 4, 1, 7, tzinfo=UTC))]


def test_one_that_has_ended_before_it_was_entered_is_not_asked_for(world: World) -> None:
    kept(world, valid_until="2025-12-31")
    assert duties(world) == []


@pytest.mark.parametrize("year", ["9999", "2199"])
def test_one_without_an_end_that_can_be_reckoned_is_not_asked_for(world: World, year: str) -> None:
    kept(world, valid_until=f"{year}-12-31")
    assert duties(world) == []
    sweep(START + timedelta(days=1))


def test_new_dates_close_the_duty_and_open_the_next(world: World) -> None:
    body = kept(world)
    do(world.manager, "keep_permission", {**body, "valid_until": "2027-03-31"})
    assert duties(world) == [("done", DUE), ("open", datetime(2027, 3, 2, 7, tzinfo=UTC))]
    with team_scope(world.team):
        turned = Transition.objects.get()
    assert (turned.was, turned.now, turned.due_at) == ("open", "done", DUE)


def test_the_same_dates_leave_the_duty_and_an_earlier_end_moves_it(world: World) -> None:
    body = kept(world)
    do(world.manager, "keep_permission", {**body, "conditions": "No dogs."})
    assert duties(world) == [("open", DUE)]
    do(world.manager, "keep_permission", {**body, "valid_until": "2026-03-30"})
    assert duties(world) == [("open", DUE - timedelta(days=1))]


def test_withdrawn_it_ends_the_day_before_and_nobody_is_asked(world: World) -> None:
    body = kept(world)
    gone = {"permission": body["permission"], "from_day": "2026-01-10", "reason": "Sold."}
    do(world.manager, "withdraw_permission", gone)
    with team_scope(world.team):
        found = Permission.objects.get()
    assert (found.valid_until, found.withdrawn_on) == (date(2026, 1, 9), date(2026, 1, 10))
    assert duties(world) == [("cancelled", DUE)]
    sweep(START + timedelta(days=1))
    assert duties(world) == [("cancelled", DUE)]
    do(world.manager, "keep_permission", body)
    assert duties(world) == [("cancelled", DUE), ("open", DUE)]


def test_withdrawn_before_its_first_day_it_holds_on_none(world: World) -> None:
    body = kept(world, valid_from="2026-02-01")
    do(
        world.manager,
        "withdraw_permission",
        {"permission": body["permission"], "from_day": "2026-01-10"},
    )
    with team_scope(world.team):
        day = date(2026, 2, 1)
        assert not Permission.objects.filter(valid_from__lte=day, valid_until__gte=day).exists()


def test_let_run_out_it_keeps_its_last_day(world: World) -> None:
    body = kept(world)
    run_out = {"permission": body["permission"], "from_day": "2026-04-01"}
    do(world.manager, "withdraw_permission", run_out)
    with team_scope(world.team):
        assert Permission.objects.get().valid_until == date(2026, 3, 31)
    assert duties(world) == [("cancelled", DUE)]


@pytest.mark.parametrize("who", ["instructor", "student"])
def test_only_a_manager_ends_one_or_sets_the_days(world: World, who: str) -> None:
    actor, body = getattr(world, who), kept(world)
    gone = {"permission": body["permission"], "from_day": "2026-01-10"}
    assert refusal(actor, "withdraw_permission", gone) == ("permission", "only_managers")
    assert refusal(actor, "set_renewal_days", {"days": 10}) == ("days", "only_managers")


def test_anothers_permission_is_not_there(world: World, other_world: World) -> None:
    gone = {"permission": kept(world)["permission"], "from_day": "2026-01-10"}
    wrong = ("permission", "waits_for")
    assert refusal(other_world.manager, "withdraw_permission", gone) == wrong


def test_another_number_of_days_moves_the_duty_both_ways(world: World) -> None:
    kept(world)
    do(world.manager, "set_renewal_days", {"days": 40})
    assert duties(world) == [("open", DUE - timedelta(days=10))]
    do(world.manager, "set_renewal_days", {"days": 20})
    assert duties(world) == [("open", DUE + timedelta(days=10))]


def test_managers_are_told_and_it_falls_overdue_once(world: World) -> None:
    stages(world)
    body = kept(world)
    early = DUE - timedelta(days=14)
    sweep(early - timedelta(seconds=1))
    with team_scope(world.team):
        assert not Notice.objects.exists()
    sweep(early)
    sweep(DUE)
    sweep(DUE + timedelta(hours=1))
    with team_scope(world.team):
        told = list(Notice.objects.order_by("stage").values_list("stage", "to_id"))
    assert told == [(1, world.manager.member), (2, world.manager.member)]
    assert duties(world) == [("overdue", DUE)]
    late = DUE + timedelta(hours=2)
    renewed = {**body, "valid_until": "2027-03-31"}
    submit(world.manager, "keep_permission", renewed, at=late, now=late)
    assert duties(world)[0] == ("done", DUE)


def test_who_was_told_of_a_moment_that_moved_is_told_again(world: World) -> None:
    stages(world)
    kept(world)
    sweep(DUE - timedelta(days=14))
    do(world.manager, "set_renewal_days", {"days": 29})
    assert duties(world) == [("cancelled", DUE), ("open", DUE + timedelta(days=1))]


def test_the_sweep_asks_for_what_no_act_has_asked_for(world: World) -> None:
    """Permissions that were entered before renewals were duties."""
    body = permission()
    with team_scope(world.team):
        Permission.objects.create(
            id=body["permission"], team_id=world.team, parcel=_square(), name="Old", holder="X",
            valid_from=date(2025, 9, 1), valid_until=date(2026, 3, 31),
        )  # fmt: skip
    sweep(START)
    sweep(START)
    assert duties(world) == [("open", DUE)]


def _square() -> Any:
    from django.contrib.gis.geos import MultiPolygon, Polygon

    return MultiPolygon(Polygon.from_bbox((-128.5, 61.8, -128.3, 61.9)), srid=4326)


def test_one_open_duty_a_permission_is_kept_by_the_database(world: World) -> None:
    from django.db import IntegrityError, transaction

    key: UUID = kept(world)["permission"]
    with (
        team_scope(world.team),
        pytest.raises(IntegrityError, match="duties_duty_once_a_permission"),
        transaction.atomic(),
    ):
        Duty.objects.create(team_id=world.team, kind="renew", permission_id=key, basis_at=START)
