"""Features of the land from a file: a dry run says what of it comes in; one act brings it.

The act is whole or not at all. The dry run gives its body, which can be sent as it is, twice if
need be: an act is known by its id.
"""

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Annotated, Any
from uuid import UUID

from pydantic import Field, ValidationError, ValidatorFunctionWrapHandler, field_validator

from trapline.ground import sql
from trapline.ground.errors import NeedsReview, Problem, Refused
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.land.formats.found import MOST_FEATURES, Found
from trapline.land.models import Feature, FeatureKind
from trapline.people.rights import Actor
from trapline.record.acting import Body, Desk, Kind
from trapline.record.after import look_again
from trapline.record.envelope import flat, problems_of
from trapline.record.settling_land import DrawFeature, Short
from trapline.record.shapes import geometry

# What of an act's bytes is left for its features beside the envelope.
MOST_SAID = 2_000_000
DECIMALS = 7  # of a degree: about a centimetre


class ImportFeatures(Body):
    """Many features at once, from one source."""

    source: Short = ""
    features: Annotated[list[DrawFeature], Field(min_length=1, max_length=MOST_FEATURES)]

    @field_validator("features", mode="wrap")
    @classmethod
    def _numbered(cls, said: Any, read: ValidatorFunctionWrapHandler) -> Any:
        """A shape that is none is refused with the number of its feature."""
        try:
            return read(said)
        except Refused:
            raise Refused(*_wrong_shapes(said)) from None


def _wrong_shapes(said: list[Any]) -> Iterator[Problem]:
    for number, one in enumerate(said):
        try:
            DrawFeature.model_validate(one)
        except Refused as error:
            for problem in error.problems:
                field = problem.field.replace("body.", f"body.features.{number}.", 1)
                yield replace(problem, field=field)
        except ValidationError:
            continue  # of another kind: it is told once the shapes are ones


def apply(desk: Desk, body: ImportFeatures) -> None:
    if not desk.actor.leads:
        raise NeedsReview("features", "only_leaders", what="import_features")
    known = Feature.objects.filter(id__in=[one.feature for one in body.features])
    if known.exists():
        raise NeedsReview("features", "feature_id_known")
    Feature.objects.bulk_create(
        (
            Feature(
                id=one.feature, team_id=desk.team, kind=one.kind, name=one.name,
                shape=geometry(one.shape), source=one.source or body.source,
            )
            for one in body.features
        ),
        batch_size=1000,
    )  # fmt: skip
    look_again(desk)


@dataclass(frozen=True)
class PlannedFeature:
    """What would become of one feature of the file: `said` if it comes in, or problems.

    length_m, area_m2: on the globe, so that a wrong unit or axis shows.
    """

    number: int
    line_no: int | None
    name: str
    kind: str
    shape: str
    said: dict[str, Any] | None
    problems: tuple[Problem, ...] = ()
    length_m: float = 0.0
    area_m2: float = 0.0


def dry_run(
    actor: Actor, found: Sequence[Found], *, kind: str | None, source: str = ""
) -> tuple[list[PlannedFeature], dict[str, Any] | None]:
    """What would come in, feature by feature, and the act's body (None: nothing would).

    kind: what a feature is that does not say it itself. One statement; nothing is written.
    Raises Refused when what would come in is more than an act holds.
    """
    planned = [_plan(one, kind) for one in found]
    with team_scope(actor.team):
        measured = list(_measured(actor.team, planned))
    said = [one.said for one in measured if one.said is not None]
    if not said:
        return measured, None
    body = {"source": source, "features": said}
    size = len(json.dumps(body, ensure_ascii=False, separators=(",", ":")).encode())
    if size > MOST_SAID:
        raise Refused(Problem("file", "file_too_large", {"size": size, "most": MOST_SAID}))
    return measured, body


def _plan(found: Found, default: str | None) -> PlannedFeature:
    kind = found.kind.lower() if found.kind.lower() in FeatureKind.values else default or ""
    shape = str((found.geometry or {}).get("type", ""))
    problems = list(found.problems)
    if not kind:
        problems.append(Problem("kind", "feature_kind_unknown", {"text": found.kind[:40]}))
    said = None
    if found.geometry is not None and not problems:
        said = {
            "feature": str(new_id()), "kind": kind, "name": found.name[:200],
            "shape": _flat_shape(found.geometry),
        }  # fmt: skip
        problems += _judged(said)
    return PlannedFeature(
        found.number, found.line_no, found.name, kind, shape, None if problems else said,
        tuple(problems),
    )  # fmt: skip


def _flat_shape(shape: dict[str, Any]) -> dict[str, Any]:
    """Without heights, and no finer than a centimetre."""
    return {"type": shape.get("type"), "coordinates": _flattened(shape.get("coordinates"))}


def _flattened(value: Any) -> Any:
    if not isinstance(value, list):
        return value
    if value and all(isinstance(one, int | float) for one in value):
        return [round(float(one), DECIMALS) for one in value[:2]]
    return [_flattened(one) for one in value]


def _judged(said: dict[str, Any]) -> list[Problem]:
    try:
        DrawFeature.model_validate(said)
    except ValidationError as error:
        found: Sequence[Problem] = problems_of(error).problems
    except Refused as error:
        found = error.problems
    else:
        return []
    if any(one.code == "shape_union_tag_invalid" for one in found):
        text = str(said["shape"]["type"])[:40]
        return [Problem("shape", "feature_other_shape", {"text": text})]
    return [flat(one) for one in found[:5]]


def _measured(team: UUID, planned: list[PlannedFeature]) -> Iterator[PlannedFeature]:
    """With lengths and areas; one that the team has already, with the same kind, stays out."""
    drawn = {one.number: one for one in planned if one.said is not None}
    values = {
        "team": team,
        "numbers": list(drawn),
        "kinds": [one.kind for one in drawn.values()],
        "shapes": [bytes(_geometry(one).wkb) for one in drawn.values()],
    }
    rows = sql.rows("trapline.land", "measured", values) if drawn else []
    measures = {number: rest for number, *rest in rows}
    for one in planned:
        if one.number not in measures:
            yield one
            continue
        length, area, known = measures[one.number]
        problems = (Problem("shape", "feature_there_already"),) if known else ()
        yield PlannedFeature(
            one.number, one.line_no, one.name, one.kind, one.shape, None if known else one.said,
            problems, length, area,
        )  # fmt: skip


def _geometry(one: PlannedFeature) -> Any:
    return geometry(DrawFeature.model_validate(one.said).shape)


KIND = Kind("import_features", {1: ImportFeatures}, apply)
