"""The OpenAPI document is sound, and the program does what it says.

openapi-spec-validator judges it against OpenAPI 3.1; schemathesis makes calls from it, good and bad
ones, and judges each answer against it. Both are independent of this project.
"""

import json
import os
from collections.abc import Iterator
from typing import Any

import jsonschema  # type: ignore[import-untyped]
import pytest
import schemathesis
from django.core.signals import request_finished, request_started
from django.core.wsgi import get_wsgi_application
from django.db import close_old_connections, transaction
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from openapi_spec_validator import validate
from schemathesis.checks import not_a_server_error
from schemathesis.core.failures import Failure, FailureGroup
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    negative_data_rejection,
    response_headers_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from tests.api.caller import Caller, Cast
from tests.api.ids import api_ids
from tests.world import START, World
from trapline.findings.models import Finding
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.record.desk import submit

CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
]
BAD = [negative_data_rejection]
# Good data for each operation, one example a role; of bad data for the manager only, who is turned
# away nowhere, and for every other operation. The long form:
# LINEWARD_EXAMPLES=20 make test ARGS="tests/api/test_schema.py".
MANY = int(os.environ.get("LINEWARD_EXAMPLES", "1"))
EXAMPLES = dict.fromkeys(("manager", "instructor", "student"), MANY)
SPOILED = ("manager", "instructor", "student") if MANY > 1 else ("manager",)
# Who may call what is judged for every operation in test_permission_table*.py; here these four
# share the operations in the short form, and the long form has each of them call all.
SHARE = {} if MANY > 1 else {"instructor": 0, "other": 1, "stranger": 2, "nobody": 3}
MODES = (schemathesis.GenerationMode.POSITIVE, schemathesis.GenerationMode.NEGATIVE)
QUIET = settings(
    database=None,
    deadline=None,
    derandomize=True,
    phases=[Phase.generate],
    suppress_health_check=list(HealthCheck),
)


@pytest.fixture(scope="module")
def schema() -> Any:
    """The document as it is served, with operations that call the program in this process."""
    return schemathesis.openapi.from_wsgi("/api/v1/schema/", get_wsgi_application())


def operations(schema: Any) -> list[Any]:
    return [found.ok() for found in schema.get_all_operations()]


def test_the_document_is_sound_openapi_3_1(schema: Any) -> None:
    served = schema.raw_schema
    assert served["openapi"].startswith("3.1")
    validate(served)


def test_every_example_fits_its_own_schema(schema: Any) -> None:
    seen = 0
    components = schema.raw_schema["components"]
    for path in schema.raw_schema["paths"].values():
        for operation in path.values():
            for media in operation.get("requestBody", {}).get("content", {}).values():
                for example in media.get("examples", {}).values():
                    whole = {**media["schema"], "components": components}
                    jsonschema.validate(example["value"], whole)
                    seen += 1
    assert seen >= 5


def test_every_operation_says_what_it_is(schema: Any) -> None:
    named = [
        operation["operationId"]
        for path in schema.raw_schema["paths"].values()
        for operation in path.values()
        if operation["description"]
    ]
    assert len(named) == len(operations(schema)) == len(set(named))


def known_ids(world: World) -> dict[str, str]:
    own, others = world.set("S1"), world.set("S2", responsible=world.instructor)
    waiting, signed, pick = new_id(), new_id(), new_id()
    submit(world.student, "animal_waiting", {"waiting": waiting, "set": own}, at=START)
    said = {"member": world.student.member, "skill": world.skills["snare"]}
    submit(world.instructor, "sign_off", said, act_id=signed, at=START)
    wanted = {"kind": world.kinds["snare"], "devices": 1}
    submit(world.manager, "pick_gear", {"pick": pick, "name": "Creek", "wanted": [wanted]},
           at=START)  # fmt: skip
    ids = api_ids(world, own, others)
    pick = new_id()
    body = {"pick": pick, "name": "Upper creek", "carrier": world.student.member,
            "wanted": [{"kind": world.kinds["snare"], "devices": 2}]}  # fmt: skip
    submit(world.manager, "pick_gear", body, at=START)
    with team_scope(world.team):  # the student is not signed off for what they look after
        finding = Finding.objects.filter(set=own).values_list("id", flat=True)[0]
    return {
        "members": ids["member"], "lines": str(world.line), "sets": str(own),
        "checks": str(world.check(world.student, own, START)), "catches": ids["catch"],
        "waitings": str(waiting), "sign-offs": str(signed), "rulebooks": ids["rulebook"],
        "licences": ids["licence"], "papers": ids["paper_id"],
        "device-kinds": str(world.kinds["snare"]),
        "part-kinds": ids["part_kind"], "features": ids["feature"],
        "permissions": ids["permission"], "zones": ids["zone"], "duties": ids["duty"],
        "acts": ids["others_act"], "closures": ids["closure_id"], "findings": str(finding),
        "animals": ids["animal"], "picks": str(pick),
        "devices": str(world.device("snare", "D-1")),
    }  # fmt: skip


@pytest.fixture
def same_connection() -> Iterator[None]:
    """As Django's own test client does: a request leaves the test's connection open."""
    signals = (request_started, request_finished)
    for signal in signals:
        signal.disconnect(close_old_connections)
    yield
    for signal in signals:
        signal.connect(close_old_connections)


@pytest.mark.usefixtures("same_connection")
@pytest.mark.parametrize(
    "role", ["manager", "instructor", "student", "other", "stranger", "nobody"]
)
def test_calls_made_from_the_document_are_answered_as_it_says(
    schema: Any, cast: Cast, world: World, role: str
) -> None:
    caller: Caller = getattr(cast, role)
    ids = known_ids(world)
    answered: dict[int, int] = {}
    wrong: list[str] = []
    mine = operations(schema)[SHARE.get(role, 0) :: len(SHARE) if role in SHARE else 1]
    for number, operation in enumerate(mine):
        path: dict[str, Any] = {"team": world.slug}
        noun = operation.path.removeprefix("/api/v1/teams/{team}/").split("/")[0]
        if "{id}" in operation.path:
            path["id"] = ids[noun]
        spoiled = role in SPOILED and (MANY > 1 or number % 2 == 0)
        for mode in MODES if spoiled else MODES[:1]:
            try:
                call(operation, mode, path, caller, answered, EXAMPLES.get(role, 1))
            except (FailureGroup, Failure) as error:
                wrong.append(f"{operation.label}, {mode.value}: {error}")
    assert not wrong, "\n\n".join(wrong)
    within = {"manager": {200, 201, 400, 404, 422}, "instructor": {200, 201, 400, 404, 422},
              "student": {200, 201, 400, 404}, "other": {200, 400, 404}, "stranger": {200, 404},
              "nobody": {401}}  # fmt: skip
    seen = within[role] & set(answered)
    assert seen if role in SHARE else seen == within[role], answered


def call(
    operation: Any,
    mode: Any,
    path: dict[str, Any],
    caller: Caller,
    answered: dict[int, int],
    examples: int,
) -> None:
    """Count how often each status was answered; a check that fails raises."""
    headers = {"Authorization": f"Bearer {caller.token}"} if caller.token else {}
    try:
        cases = operation.as_strategy(generation_mode=mode)
    except Exception as error:  # nothing can be made wrong: no parameter, no body
        assert mode is schemathesis.GenerationMode.NEGATIVE, error
        return

    @settings(QUIET, max_examples=examples)
    @given(case=cases, known=st.booleans())
    def ask(case: Any, known: bool) -> None:
        good = mode is schemathesis.GenerationMode.POSITIVE
        if good or known:
            for name, value in path.items():
                if name in (case.path_parameters or {}):
                    case.path_parameters[name] = value
        with transaction.atomic():
            answer = case.call(headers=headers)
            transaction.set_rollback(True)
        # Where we have put a good address in place of a bad one, nothing bad may be left.
        case.validate_response(answer, checks=CHECKS if good or known else [*CHECKS, *BAD])
        answered[answer.status_code] = answered.get(answer.status_code, 0) + 1

    ask()


def test_the_schema_is_small_enough_to_send(schema: Any) -> None:
    assert len(json.dumps(schema.raw_schema)) < 600_000
