"""Today: what waits, what is overdue, what is due, on the ribbon and in words."""

from collections.abc import Iterable
from datetime import datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

import numpy as np
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from trapline.calc.clock import to_datetime, to_us, zone_table
from trapline.duties.selectors import LATER, OVERDUE, TODAY, UNBOUND, WAITING, due_board, due_marks
from trapline.ground.clock import now
from trapline.journal.team_settings import numbers_to_call
from trapline.pages.guard import ANYONE_IN_TEAM, team_page
from trapline.pages.ribbon import BIN_S, HOURS, ribbons
from trapline.people.rights import Actor
from trapline.standing.selectors import LineInPlay, lines_in_play

MOST, FEW = 30, 8  # rows of a section, and of one that has too many; its lines have them all


def only_own(actor: Actor) -> UUID | None:
    """Whose sets an actor sees: a member their own, who leads all (None)."""
    return None if actor.leads else actor.member


def day_ends(lines: Iterable[LineInPlay], moment: datetime) -> list[tuple[UUID, datetime]]:
    """For each line the end of the local day on which `moment` falls there."""
    ends: dict[str, datetime] = {}
    for line in lines:
        if line.tz not in ends:
            us = to_us(moment)
            table = zone_table(ZoneInfo(line.tz), us, us)
            day = table.day(np.array([us], dtype=np.int64))
            ends[line.tz] = to_datetime(int(table.end_of(day)[0]))
    return [(line.id, ends[line.tz]) for line in lines]


@team_page(ANYONE_IN_TEAM)
def today(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Four statements beside the guard's three: lines, duties, marks, numbers to call."""
    moment, member = now(), only_own(actor)
    lines = lines_in_play(actor.team, member)
    board = due_board(actor.team, member, moment, day_ends(lines, moment), most=MOST, few=FEW)
    marks = due_marks(actor.team, member, moment, moment + timedelta(hours=HOURS), BIN_S)
    sections = {
        name: [due for due in board if due.section == name]
        for name in (WAITING, OVERDUE, TODAY, LATER, UNBOUND)
    }
    shown = {
        "moment": moment,
        "lines": lines,
        "ribbons": ribbons(lines, marks, moment),
        "sections": sections,
        "totals": {name: dues[0].total if dues else 0 for name, dues in sections.items()},
        "calls": numbers_to_call(actor.team) if sections[WAITING] else [],
    }
    return render(request, "today.html", shown)
