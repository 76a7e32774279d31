"""Duties to buy more: a kind of part of which fewer lie in stock than the team wants."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from uuid import UUID

from trapline.ground import sql

BUY_WITHIN = timedelta(days=14)  # our own; who is told when is the team's to set


def refresh_stock(
    team: UUID,
    *,
    kinds: Sequence[UUID] = (),
    parts: Sequence[UUID] = (),
    act: UUID,
    at: datetime,
    moment: datetime,
    by_facts: bool = True,
) -> None:
    """Bring the duties of some kinds, and of the kinds of some parts, in line with the stock.

    by_facts: parts came or went; else the team's least number was said anew. One statement.
    """
    values = {
        "team": team, "kinds": list(kinds), "parts": list(parts), "act": act, "at": at,
        "due": at + BUY_WITHIN, "moment": moment, "by_facts": by_facts,
    }  # fmt: skip
    sql.run("trapline.duties", "stock", values)
