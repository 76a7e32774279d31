"""Who gets which answer from the API: one row for each route and method.

The cast and the columns are those of tests/permission_table.py. 400 says that somebody may call and
that the empty body they sent is refused; 404 that there is nothing for them to call.
"""

from collections.abc import Mapping
from typing import Any

from tests.permission_table import Row

TEAM = "api/v1/teams/<slug:team>/"


def signed_in(route: str, method: str = "GET", status: int = 200, **more: Any) -> Row:
    """Outside any team, for whoever is signed in."""
    return Row(method, f"api/v1/{route}", status, status, status, status, 401, **more)


def open_to_all(route: str, method: str = "GET", status: int = 200, **more: Any) -> Row:
    """For everybody."""
    return Row(method, f"api/v1/{route}", status, status, status, status, status, **more)


def anyone(route: str, method: str = "GET", status: int = 200, **more: Any) -> Row:
    """Of the team, for all its members."""
    return Row(method, TEAM + route, status, status, status, 404, 401, **more)


def leads(route: str, method: str = "GET", status: int = 200, **more: Any) -> Row:
    """Of the team, for instructors and managers."""
    return Row(method, TEAM + route, status, status, 404, 404, 401, **more)


def manages(route: str, method: str = "GET", status: int = 200, **more: Any) -> Row:
    """Of the team, for managers."""
    return Row(method, TEAM + route, status, 404, 404, 404, 401, **more)


def of(name: str) -> Mapping[str, str]:
    """The row that a route's <id> stands for, by its name in the cast's ids."""
    return {"id": name}


LISTS = (
    "members", "licences", "papers", "skills", "sign-offs", "lines", "readings", "signals",
    "number-books", "number-books/aside", "sets",
    "checks", "catches", "waitings", "device-kinds", "devices", "part-kinds", "parts",
    "rulebooks", "authorities", "rules", "seasons", "species", "zones", "features", "duties",
    "acts", "closures", "extensions", "picks",
)  # fmt: skip
WRITTEN_BY_ANYONE = ("readings", "signals", "sets", "checks", "waitings", "devices")
WRITTEN_BY_LEADERS = (
    "sign-offs", "lines", "number-books", "number-books/aside", "licences", "papers", "skills",
    "part-kinds", "device-kinds",
    "features", "closures", "extensions", "picks",
)  # fmt: skip

API = [
    open_to_all("schema/"),
    open_to_all("rulebook-format/"),
    open_to_all("problems/<slug:kind>/"),
    open_to_all("sign-in/", "POST", 400),
    signed_in("sign-out/", "POST", 404),  # signed in by a page, which signs out there
    signed_in("tokens/"),
    signed_in("tokens/<slug:key>/", "DELETE", 404),  # nobody's
    signed_in("me/"),
    signed_in("teams/"),
    signed_in("sync/", "POST", 400),
    anyone(""),
    *(anyone(f"{noun}/") for noun in LISTS),
    manages("notices/"),
    leads("imports/", "POST", 415),  # a file is needed, not JSON
    leads("imports/commit/", "POST", 400),
    leads("gear/dry-run/", "POST", 415),  # a file is needed, not JSON
    leads("gear/import/", "POST", 400),
    leads("exports/gear.csv"),
    anyone("exports/sets.gpx"),
    anyone("exports/sets.geojson"),
    anyone("reports/harvest/"),
    anyone("reports/yields/"),
    *(anyone(f"{noun}/", "POST", 400) for noun in WRITTEN_BY_ANYONE),
    *(leads(f"{noun}/", "POST", 400) for noun in WRITTEN_BY_LEADERS),
    manages("rulebooks/", "POST", 400),
    manages("members/", "POST", 400),
    leads("permissions/"),
    manages("permissions/", "POST", 400),
    manages("notice-stages/"),
    manages("notice-stages/", "PUT", 400),
    manages("members/<uuid:id>/", "PUT", 400, given=of("member")),
    anyone("licences/<uuid:id>/", given=of("licence")),
    leads("licences/<uuid:id>/", "PUT", 400, given=of("licence")),
    anyone("papers/<uuid:id>/", given=of("paper_id")),
    leads("papers/<uuid:id>/", "PUT", 400, given=of("paper_id")),
    anyone("part-kinds/<uuid:id>/", given=of("part_kind")),
    leads("part-kinds/<uuid:id>/", "PUT", 400, given=of("part_kind")),
    anyone("device-kinds/<uuid:id>/", given=of("kind_id")),
    leads("device-kinds/<uuid:id>/", "PUT", 400, given=of("kind_id")),
    leads("devices/<uuid:id>/keep/", "POST", 400, given=of("thing")),
    leads("devices/<uuid:id>/strip/", "POST", 422, given=of("thing")),  # it stands in a set
    anyone("devices/<uuid:id>/replace/", "POST", 400, given=of("thing")),
    leads("parts/stock/", "POST", 400),
    leads("parts/put/", "POST", 400),
    leads("gear/tags/", "POST", 400),
    anyone("picks/<uuid:id>/", given=of("pick_id")),
    leads("picks/<uuid:id>/", given=of("others_pick")),
    leads("picks/<uuid:id>/fill/", given=of("pick_id")),
    leads("picks/<uuid:id>/fill/", "POST", 422, given=of("pick_id")),  # it names nothing
    leads("picks/<uuid:id>/drop/", "POST", 201, given=of("pick_id")),
    anyone("features/<uuid:id>/", given=of("feature")),
    leads("features/<uuid:id>/", "PUT", 400, given=of("feature")),
    manages("permissions/<uuid:id>/end/", "POST", 400, given=of("permission")),
    manages("renewals/", "PUT", 400),
    leads("features/dry-run/", "POST", 415),  # a file is needed, not JSON
    leads("features/import/", "POST", 400),
    leads("features/<uuid:id>/drop/", "POST", 201, given=of("feature")),
    anyone("duties/<uuid:id>/evidence/", "POST", 400, given=of("duty_id")),
    leads("duties/<uuid:id>/evidence/", "POST", 422, body={"on": "2026-01-06"},
          given=of("others_duty")),  # a check, which no number closes
    leads("permissions/<uuid:id>/", given=of("permission")),
    manages("permissions/<uuid:id>/", "PUT", 400, given=of("permission")),
    anyone("members/<uuid:id>/", given=of("member")),
    leads("sign-offs/<uuid:id>/end/", "POST", 201, given=of("sign_off_id")),
    anyone("lines/<uuid:id>/", given=of("line_id")),
    leads("lines/<uuid:id>/", given=of("others_line")),
    leads("lines/<uuid:id>/", "PUT", 400, given=of("line_id")),
    anyone("sets/<uuid:id>/", given=of("set_id")),
    leads("sets/<uuid:id>/", given=of("others_set")),
    anyone("sets/<uuid:id>/timeline/", given=of("set_id")),
    leads("sets/<uuid:id>/timeline/", given=of("others_set")),
    anyone("sets/<uuid:id>/rules/", given=of("set_id")),
    leads("sets/<uuid:id>/rules/", given=of("others_set")),
    leads("closures/<uuid:id>/reopen/", "POST", 400, given=of("closure_id")),
    anyone("sets/<uuid:id>/pull/", "POST", 201, given=of("set_id")),
    leads("sets/<uuid:id>/pull/", "POST", 201, given=of("others_set")),
    manages("sets/<uuid:id>/lost/", "POST", 422, given=of("set_id")),  # not searched for
    leads("sets/<uuid:id>/hand-over/", "POST", 400, given=of("set_id")),
    anyone("checks/<uuid:id>/", given=of("check_id")),
    leads("checks/<uuid:id>/", given=of("others_check")),
    anyone("checks/<uuid:id>/correction/", "POST", 201, body={"withdraw": True},
           given=of("check_id")),
    leads("checks/<uuid:id>/correction/", "POST", 201, body={"withdraw": True},
          given=of("others_check")),
    anyone("catches/<uuid:id>/", given=of("catch")),
    leads("catches/<uuid:id>/", given=of("others_catch")),
    anyone("animals/"),
    anyone("animals/account/"),
    anyone("animals/pelts/", "POST", 400),
    anyone("animals/take-back/", "POST", 400),
    anyone("animals/<uuid:id>/", given=of("animal_id")),
    leads("animals/<uuid:id>/", given=of("others_animal")),
    anyone("animals/<uuid:id>/meat/", "POST", 400, given=of("animal_id")),
    leads("animals/<uuid:id>/meat/", "POST", 201,
          body={"fit": False, "organs": "suspect", "why": "spots"}, given=of("others_animal")),
    anyone("animals/<uuid:id>/portions/", "POST", 400, given=of("animal_id")),
    anyone("animals/<uuid:id>/samples/", "POST", 400, given=of("animal_id")),
    anyone("food/"),
    anyone("food-table/"),
    leads("food-table/", "PUT", 400),
    anyone("samples/"),
    anyone("samples/hand-in/", "POST", 400),
    anyone("waitings/<uuid:id>/", given=of("waiting")),
    leads("waitings/<uuid:id>/", given=of("others_waiting")),
    anyone("waitings/<uuid:id>/close/", "POST", 201, body={"fate": "got_away"},
           given=of("waiting")),
    leads("waitings/<uuid:id>/close/", "POST", 201, body={"fate": "got_away"},
          given=of("others_waiting")),
    anyone("rulebooks/<uuid:id>/", given=of("rulebook")),
    anyone("zones/<uuid:id>/", given=of("zone")),
    anyone("duties/<uuid:id>/", given=of("duty")),
    leads("duties/<uuid:id>/", given=of("others_duty")),
    anyone("findings/"),
    anyone("findings/<uuid:id>/", given=of("finding_id")),
    leads("findings/<uuid:id>/", given=of("others_finding")),
    leads("findings/<uuid:id>/acknowledge/", "POST", 400, given=of("finding_id")),
    leads("what-if/", "POST", 400),
    anyone("device-fit/"),
    leads("device-fit/", "PUT", 400),
    anyone("acts/<uuid:id>/", given=of("act_id")),
    leads("acts/<uuid:id>/", given=of("others_act")),
    leads("acts/<uuid:id>/settle/", "POST", 400, given=of("act_id")),
]  # fmt: skip
