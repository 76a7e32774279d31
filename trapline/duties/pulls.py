"""Duties to pull: opened for every set that a closure by notice hits, at once."""

from datetime import datetime
from uuid import UUID

from trapline.ground import sql


def open_pulls(
    team: UUID,
    closure: UUID,
    *,
    species: UUID,
    zone: str,
    basis: datetime,
    due: datetime,
) -> int:
    """Each standing set for the species in the zone ("": anywhere) is to be pulled by `due`.

    One statement; gives how many duties were opened. A set placed at `due` or later is a finding,
    no duty of this closure's.
    """
    values = {
        "team": team, "asked": str(closure), "species": species, "zone": zone, "basis": basis,
        "due": due,
    }  # fmt: skip
    return sql.run("trapline.duties", "pull", values)


def cancel_pulls(team: UUID, closure: UUID, moment: datetime) -> int:
    """Take back the open duties of a closure that is over. One statement; gives how many."""
    values = {"team": team, "asked": str(closure), "moment": moment}
    return sql.run("trapline.duties", "unpull", values)
