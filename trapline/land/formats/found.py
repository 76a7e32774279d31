"""A feature of the land as a file describes it, in the file's own words."""

from dataclasses import dataclass
from typing import Any

from trapline.ground.errors import Problem

MOST_FEATURES = 5000


@dataclass(frozen=True)
class Found:
    """What stands at one place of a file: a shape with its words, or what is wrong with it.

    number: from 1, in the file's order; line_no: where it begins, if the format tells;
    geometry: a GeoJSON geometry as the file has it, not judged yet; kind: the file's own word.
    """

    number: int
    geometry: dict[str, Any] | None
    name: str = ""
    kind: str = ""
    line_no: int | None = None
    problems: tuple[Problem, ...] = ()
