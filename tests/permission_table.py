"""Who gets which answer at which address: one row for each route and method.

The cast: the manager, instructor and student of a team (the student looks after `set_id` and made
`check_id`), the manager of another team, and somebody who is not signed in. A route is spelled as
the resolver has it; its parameters come from tests/pages/cast.py, or from `given`. Every request
is rolled back, so a row may change things.
"""

from collections.abc import Mapping
from typing import Any, NamedTuple


class Row(NamedTuple):
    method: str
    route: str
    manager: int
    instructor: int
    student: int
    other: int
    stranger: int
    body: Any = None
    given: Mapping[str, str] = {}


def anyone(route: str, method: str = "GET", status: int = 200, **more: Any) -> Row:
    """A page of the team for all its members; strangers go to the sign-in page."""
    return Row(method, route, status, status, status, 404, 302, **more)


def leads(route: str, method: str = "GET", status: int = 200, **more: Any) -> Row:
    """A page for instructors and managers."""
    return Row(method, route, status, status, 404, 404, 302, **more)


def manages(route: str, method: str = "GET", status: int = 200, **more: Any) -> Row:
    """A page for managers."""
    return Row(method, route, status, 404, 404, 404, 302, **more)


def posted(rule: Any, route: str, status: int = 422) -> list[Row]:
    """A form: its page, and an empty form sent, which is refused and shown again."""
    return [rule(route), rule(route, "POST", status)]


# A set, a line and what is on them that the student has nothing to do with.
NOT_THE_STUDENTS = {"set_id": "others_set", "line_id": "others_line", "waiting": "others_waiting",
                    "check_id": "others_check", "finding_id": "others_finding",
                    "pick_id": "others_pick"}  # fmt: skip
OTHERS_ANIMAL = {"animal_id": "others_animal"}
A_FORM = {"code": "form_code"}

PAGES = [
    # Outside any team
    Row("GET", "", 302, 302, 302, 302, 302),
    Row("GET", "healthz", 200, 200, 200, 200, 200),
    Row("GET", "sign-in/", 302, 302, 302, 302, 200),
    Row("POST", "sign-in/", 302, 302, 302, 302, 422),
    Row("POST", "sign-out/", 302, 302, 302, 302, 302),
    Row("GET", "password/<str:uidb64>/<str:token>/", 200, 200, 200, 200, 200),
    Row("POST", "password/<str:uidb64>/<str:token>/", 200, 200, 200, 200, 200),
    Row("GET", "settings/", 200, 200, 200, 200, 302),
    Row("POST", "settings/", 422, 422, 422, 422, 302),
    Row("GET", "settings/password/", 200, 200, 200, 200, 302),
    Row("POST", "settings/password/", 422, 422, 422, 422, 302),
    Row("GET", "tiles/<slug:variant>/<int:z>/<int:x>/<int:y>.webp", 404, 404, 404, 404, 302),
    # The phone
    Row("GET", "sw.js", 200, 200, 200, 200, 200),
    Row("GET", "phone/", 200, 200, 200, 200, 200),
    Row("GET", "phone/app.webmanifest", 200, 200, 200, 200, 200),
    Row("GET", "phone/who.json", 200, 200, 200, 200, 302),
    anyone("t/<slug:team>/phone/"),
    anyone("t/<slug:team>/phone/bundle.json"),
    leads("t/<slug:team>/phone/load/"),
    # Reading
    anyone("t/<slug:team>/"),
    anyone("t/<slug:team>/more/"),
    anyone("t/<slug:team>/map/"),
    anyone("t/<slug:team>/map/sets.geojson"),
    anyone("t/<slug:team>/map/file/<slug:form>/"),
    anyone("t/<slug:team>/lines/"),
    anyone("t/<slug:team>/lines/<uuid:line_id>/file/<slug:form>/"),
    leads("t/<slug:team>/lines/<uuid:line_id>/file/<slug:form>/", given=NOT_THE_STUDENTS),
    leads("t/<slug:team>/lines/import/example.csv"),
    anyone("t/<slug:team>/lines/<uuid:line_id>/"),
    leads("t/<slug:team>/lines/<uuid:line_id>/", given=NOT_THE_STUDENTS),
    anyone("t/<slug:team>/lines/<uuid:line_id>/sheet/"),
    leads("t/<slug:team>/lines/<uuid:line_id>/sheet/", given=NOT_THE_STUDENTS),
    anyone("t/<slug:team>/lines/<uuid:line_id>/sheet.pdf"),
    leads("t/<slug:team>/lines/<uuid:line_id>/sheet.pdf", given=NOT_THE_STUDENTS),
    anyone("t/<slug:team>/sets/<uuid:set_id>/"),
    leads("t/<slug:team>/sets/<uuid:set_id>/", given=NOT_THE_STUDENTS),
    anyone("t/<slug:team>/cautions/"),
    anyone("t/<slug:team>/findings/"),
    anyone("t/<slug:team>/findings/fit/"),
    *posted(leads, "t/<slug:team>/findings/what-if/"),
    *posted(leads, "t/<slug:team>/findings/fit/row/"),
    *posted(anyone, "t/<slug:team>/findings/<uuid:finding_id>/"),
    leads("t/<slug:team>/findings/<uuid:finding_id>/", given=NOT_THE_STUDENTS),
    anyone("t/<slug:team>/gear/"),
    anyone("t/<slug:team>/gear/load/"),
    anyone("t/<slug:team>/gear/picks/"),
    anyone("t/<slug:team>/gear/picks/<uuid:pick_id>/"),
    leads("t/<slug:team>/gear/picks/<uuid:pick_id>/", given=NOT_THE_STUDENTS),
    *posted(leads, "t/<slug:team>/gear/picks/new/"),
    *posted(leads, "t/<slug:team>/gear/picks/<uuid:pick_id>/fill/"),
    leads("t/<slug:team>/gear/picks/<uuid:pick_id>/drop/"),
    leads("t/<slug:team>/gear/picks/<uuid:pick_id>/drop/", "POST", 422),
    leads("t/<slug:team>/gear/season/"),
    leads("t/<slug:team>/gear/labels/"),
    # The label of a device that stands in the student’s own set, and of one that does not
    anyone("t/<slug:team>/gear/at/<uuid:thing>/", status=302),
    leads("t/<slug:team>/gear/at/<uuid:thing>/", status=302, given={"thing": "others_device"}),
    *posted(leads, "t/<slug:team>/gear/file/"),
    leads("t/<slug:team>/gear/file/take/", "POST", 422),
    leads("t/<slug:team>/gear/file/gear.csv"),
    leads("t/<slug:team>/gear/file/example.csv"),
    leads("t/<slug:team>/gear/part-kinds/<uuid:part_kind_id>/"),
    anyone("t/<slug:team>/land/"),
    anyone("t/<slug:team>/land/layer.geojson"),
    anyone("t/<slug:team>/rules/"),
    anyone("t/<slug:team>/rules/file/"),
    anyone("t/<slug:team>/rules/format.json"),
    anyone("t/<slug:team>/rules/versions/<uuid:version_id>/"),
    anyone("t/<slug:team>/rules/versions/<uuid:version_id>/file/"),
    manages("t/<slug:team>/rules/new/"),
    anyone("t/<slug:team>/sets/<uuid:set_id>/rules/"),
    leads("t/<slug:team>/sets/<uuid:set_id>/rules/", given=NOT_THE_STUDENTS),
    anyone("t/<slug:team>/members/"),
    anyone("t/<slug:team>/notices/"),
    manages("t/<slug:team>/notices/mails/"),
    leads("t/<slug:team>/review/"),
    anyone("t/<slug:team>/reports/"),
    anyone("t/<slug:team>/reports/harvest.csv"),
    anyone("t/<slug:team>/reports/harvest.json"),
    anyone("t/<slug:team>/reports/yields/"),
    anyone("t/<slug:team>/reports/yields/by/<slug:by>/"),
    anyone("t/<slug:team>/reports/yields/by/<slug:by>/yield.pdf"),
    # By member: to a member their own looks only (tests/reports/test_side_by_side.py)
    anyone("t/<slug:team>/reports/yields/by/<slug:by>/", given={"by": "by_member"}),
    anyone("t/<slug:team>/reports/yields/by/<slug:by>/yield.pdf", given={"by": "by_member"}),
    anyone("t/<slug:team>/reports/yields/by/<slug:by>/", status=404, given={"by": "by_nothing"}),
    anyone("t/<slug:team>/reports/figures/"),
    *posted(manages, "t/<slug:team>/reports/places/"),
    leads("t/<slug:team>/reports/occurrences.csv"),
    anyone("t/<slug:team>/reports/filed/"),
    leads("t/<slug:team>/reports/filed/<uuid:filing_id>/"),
    leads("t/<slug:team>/reports/filed/<uuid:filing_id>/", "POST", 302),
    leads(
        "t/<slug:team>/reports/filed/<uuid:filing_id>/report.<slug:kind>", given={"kind": "a_csv"}
    ),
    *posted(anyone, "t/<slug:team>/reports/file/"),
    manages("t/<slug:team>/reports/forms/<slug:code>/", given=A_FORM),
    manages("t/<slug:team>/reports/forms/<slug:code>/", "POST", 422, given=A_FORM),
    anyone("t/<slug:team>/animals/"),
    *posted(anyone, "t/<slug:team>/animals/fur/"),
    *posted(anyone, "t/<slug:team>/animals/samples/"),
    anyone("t/<slug:team>/animals/numbers/"),
    leads("t/<slug:team>/animals/numbers/<uuid:series_id>/"),
    anyone("t/<slug:team>/animals/food/"),
    anyone("t/<slug:team>/animals/food/table/"),
    *posted(leads, "t/<slug:team>/animals/food/table/row/"),
    anyone("t/<slug:team>/animals/<uuid:animal_id>/"),
    leads("t/<slug:team>/animals/<uuid:animal_id>/", given=OTHERS_ANIMAL),
    *posted(anyone, "t/<slug:team>/animals/<uuid:animal_id>/meat/"),
    leads("t/<slug:team>/animals/<uuid:animal_id>/meat/", given=OTHERS_ANIMAL),
    *posted(anyone, "t/<slug:team>/animals/<uuid:animal_id>/eaten/"),
    leads("t/<slug:team>/animals/<uuid:animal_id>/eaten/", given=OTHERS_ANIMAL),
    *posted(anyone, "t/<slug:team>/animals/<uuid:animal_id>/sample/"),
    leads("t/<slug:team>/animals/<uuid:animal_id>/sample/", given=OTHERS_ANIMAL),
    *posted(anyone, "t/<slug:team>/animals/<uuid:animal_id>/<slug:what>/<uuid:row>/back/"),
    anyone("t/<slug:team>/reports/yields.csv"),
    anyone("t/<slug:team>/reports/yields.json"),
    # Photographs: `photo` is of the student's own check
    anyone("t/<slug:team>/phone/photos/<uuid:photo>/"),
    leads("t/<slug:team>/phone/photos/<uuid:photo>/", given={"photo": "others_photo"}),
    anyone("t/<slug:team>/phone/photos/<uuid:photo>/", "PUT", 400),
    # Writing
    *posted(leads, "t/<slug:team>/lines/new/"),
    *posted(leads, "t/<slug:team>/lines/<uuid:line_id>/change/"),
    *posted(leads, "t/<slug:team>/lines/<uuid:line_id>/import/"),
    leads("t/<slug:team>/lines/<uuid:line_id>/import/place/", "POST", 422),
    *posted(anyone, "t/<slug:team>/lines/<uuid:line_id>/reading/"),
    leads("t/<slug:team>/lines/<uuid:line_id>/reading/", given=NOT_THE_STUDENTS),
    *posted(anyone, "t/<slug:team>/lines/<uuid:line_id>/sheet/type/"),
    leads("t/<slug:team>/lines/<uuid:line_id>/sheet/type/", given=NOT_THE_STUDENTS),
    *posted(leads, "t/<slug:team>/sets/new/"),
    *posted(anyone, "t/<slug:team>/sets/<uuid:set_id>/signal/"),
    leads("t/<slug:team>/sets/<uuid:set_id>/signal/", given=NOT_THE_STUDENTS),
    *posted(anyone, "t/<slug:team>/sets/<uuid:set_id>/check/"),
    leads("t/<slug:team>/sets/<uuid:set_id>/check/", given=NOT_THE_STUDENTS),
    leads("t/<slug:team>/sets/<uuid:set_id>/check/", "POST", 422, given=NOT_THE_STUDENTS),
    *posted(anyone, "t/<slug:team>/sets/<uuid:set_id>/checks/<uuid:check_id>/correct/"),
    leads(
        "t/<slug:team>/sets/<uuid:set_id>/checks/<uuid:check_id>/correct/", given=NOT_THE_STUDENTS
    ),
    *posted(anyone, "t/<slug:team>/sets/<uuid:set_id>/waiting/"),
    leads("t/<slug:team>/sets/<uuid:set_id>/waiting/", given=NOT_THE_STUDENTS),
    *posted(anyone, "t/<slug:team>/sets/<uuid:set_id>/pull/"),
    leads("t/<slug:team>/sets/<uuid:set_id>/pull/", given=NOT_THE_STUDENTS),
    *posted(manages, "t/<slug:team>/sets/<uuid:set_id>/lost/"),
    *posted(leads, "t/<slug:team>/sets/<uuid:set_id>/hand-over/"),
    *posted(anyone, "t/<slug:team>/waiting/<uuid:waiting>/end/"),
    leads("t/<slug:team>/waiting/<uuid:waiting>/end/", given=NOT_THE_STUDENTS),
    *posted(anyone, "t/<slug:team>/duties/<uuid:duty_id>/done/"),
    *posted(leads, "t/<slug:team>/gear/kinds/<uuid:kind_id>/"),
    *posted(leads, "t/<slug:team>/gear/kinds/<uuid:kind_id>/build/"),
    *posted(leads, "t/<slug:team>/gear/parts/new/"),
    *posted(leads, "t/<slug:team>/gear/stock/"),
    *posted(leads, "t/<slug:team>/gear/part-kinds/<uuid:part_kind_id>/change/"),
    *posted(leads, "t/<slug:team>/gear/devices/<uuid:device_id>/"),
    *posted(leads, "t/<slug:team>/gear/devices/<uuid:device_id>/strip/"),
    *posted(leads, "t/<slug:team>/gear/devices/<uuid:device_id>/replace/"),
    *posted(leads, "t/<slug:team>/gear/devices/<uuid:device_id>/tag/"),
    *posted(leads, "t/<slug:team>/gear/parts/<uuid:part_id>/tag/"),
    *posted(leads, "t/<slug:team>/gear/parts/<uuid:part_id>/"),
    *posted(manages, "t/<slug:team>/land/permissions/new/"),
    *posted(manages, "t/<slug:team>/land/permissions/<uuid:permission_id>/"),
    *posted(manages, "t/<slug:team>/land/permissions/<uuid:permission_id>/end/"),
    manages("t/<slug:team>/land/permissions/<uuid:permission_id>/letter/"),
    manages("t/<slug:team>/land/permissions/<uuid:permission_id>/letter.pdf"),
    *posted(manages, "t/<slug:team>/land/renewals/"),
    *posted(leads, "t/<slug:team>/land/features/new/"),
    *posted(leads, "t/<slug:team>/land/features/<uuid:feature_id>/"),
    *posted(leads, "t/<slug:team>/land/features/import/"),
    leads("t/<slug:team>/land/features/import/confirm/", "POST", 422),
    *posted(leads, "t/<slug:team>/gear/kinds/new/"),
    *posted(manages, "t/<slug:team>/members/new/"),
    *posted(manages, "t/<slug:team>/members/<uuid:member_id>/"),
    manages("t/<slug:team>/members/<uuid:member_id>/link/", "POST", 200),
    anyone("t/<slug:team>/members/<uuid:member_id>/season/"),
    anyone("t/<slug:team>/members/<uuid:member_id>/season/", "POST", 302),
    *posted(leads, "t/<slug:team>/members/licences/new/"),
    *posted(leads, "t/<slug:team>/members/papers/new/"),
    *posted(leads, "t/<slug:team>/members/papers/<uuid:paper_id>/"),
    *posted(leads, "t/<slug:team>/members/skills/new/"),
    *posted(manages, "t/<slug:team>/rules/take/"),
    manages("t/<slug:team>/rules/take/confirm/", "POST", 422),
    *posted(manages, "t/<slug:team>/rules/zones/"),
    *posted(manages, "t/<slug:team>/rules/new/<slug:matter>/<slug:shape>/"),
    *posted(manages, "t/<slug:team>/rules/change/<slug:code>/"),
    *posted(leads, "t/<slug:team>/rules/close/"),
    *posted(leads, "t/<slug:team>/rules/closures/<uuid:closure_id>/open/"),
    *posted(leads, "t/<slug:team>/lines/<uuid:line_id>/extension/"),
    *posted(manages, "t/<slug:team>/notices/stages/"),
    *posted(leads, "t/<slug:team>/members/sign-off/"),
    *posted(leads, "t/<slug:team>/members/sign-offs/<uuid:sign_off_id>/end/"),
    *posted(leads, "t/<slug:team>/members/numbers/"),
    *posted(leads, "t/<slug:team>/members/numbers/aside/"),
    manages("t/<slug:team>/members/calls/"),
    manages("t/<slug:team>/members/calls/", "POST", 302),
    *posted(leads, "t/<slug:team>/review/<uuid:act_id>/"),
]
