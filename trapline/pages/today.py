"""Today: what waits, what is overdue, what is due, on the ribbon and in words."""

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

import numpy as np
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from trapline.calc.clock import to_datetime, to_us, zone_table
from trapline.duties.selectors import (
    LATER,
    OVERDUE,
    SECTIONS,
    TODAY,
    UNBOUND,
    WAITING,
    Asked,
    Due,
    due_board,
    due_tally,
)
from trapline.ground.clock import now
from trapline.journal.team_settings import numbers_to_call
from trapline.pages.backdrop import minute_of
from trapline.pages.guard import ANYONE_IN_TEAM, team_of, team_page
from trapline.pages.ribbon import BIN_S, HOURS, ribbons
from trapline.pages.rows import Rows
from trapline.people.rights import Actor
from trapline.standing.selectors import LineInPlay, lines_in_play

MOST, FEW = 30, 8  # rows of a section, and of one that has too many; its lines have them all


def only_own(actor: Actor) -> UUID | None:
    """Whose sets an actor sees: a member their own, who leads all (None)."""
    return None if actor.leads else actor.member


def day_ends(lines: Iterable[LineInPlay], moment: datetime) -> list[datetime]:
    """For each line the end of the local day on which `moment` falls there."""
    ends: dict[str, datetime] = {}
    for line in lines:
        if line.tz not in ends:
            us = to_us(moment)
            table = zone_table(ZoneInfo(line.tz), us, us)
            day = table.day(np.array([us], dtype=np.int64))
            ends[line.tz] = to_datetime(int(table.end_of(day)[0]))
    return [ends[line.tz] for line in lines]


@team_page(ANYONE_IN_TEAM)
def today(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Three statements beside the guard's: lines, tally, duties; with an alarm the numbers too."""
    moment, member = now(), only_own(actor)
    lines = lines_in_play(actor.team, member)
    asked = Asked(actor.team, member, moment, lines, day_ends(lines, moment))
    tally = due_tally(asked, moment + timedelta(hours=HOURS), BIN_S)
    totals = dict.fromkeys(SECTIONS, 0)
    for one in tally:
        totals[one.section] += one.count
    board = due_board(asked, {name: n if n <= MOST else FEW for name, n in totals.items()})
    alarms = [due for due in board if due.section == WAITING]
    shown = {
        "moment": moment,
        "lines": lines,
        "ribbons": ribbons(lines, tally, minute_of(moment)),
        "alarms": alarms,
        "blocks": _blocks(Rows(actor, team_of(request), moment), board, totals),
        "totals": totals,
        "calls": numbers_to_call(actor.team) if alarms else [],
    }
    return render(request, "today.html", shown)


def _blocks(rows: Rows, board: list[Due], totals: dict[str, int]) -> list[dict[str, Any]]:
    """The sections below the ribbon that have anything in them."""
    heads = {
        OVERDUE: (_("Overdue"), ""),
        TODAY: (_("Due today"), ""),
        LATER: (_("Later"), ""),
        UNBOUND: (
            _("No time set"),
            _("No rule in force gives these a due time. Nobody is reminded of them."),
        ),
    }
    return [
        {
            "head": head,
            "says": says,
            "total": totals[name],
            "rows": rows.of_duties(due for due in board if due.section == name),
        }
        for name, (head, says) in heads.items()
        if totals[name]
    ]
