"""Who may open a page: the guard that the phone's addresses stand behind too."""

from trapline.people.guard import (
    ANYONE_IN_TEAM,
    LEADS,
    MANAGES,
    OPEN,
    SIGNED_IN,
    Rule,
    meets,
    page,
    team_of,
    team_page,
)

__all__ = [
    "ANYONE_IN_TEAM",
    "LEADS",
    "MANAGES",
    "OPEN",
    "SIGNED_IN",
    "Rule",
    "meets",
    "page",
    "team_of",
    "team_page",
]
