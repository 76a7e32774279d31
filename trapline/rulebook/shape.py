"""The shape of a rulebook: what its file holds, whether it makes sense or not. Format 1."""

from typing import Literal

from trapline.rulebook.matters import Rule
from trapline.rulebook.models import AuthorityKind, Handling
from trapline.rulebook.parts import Area, Code, Line, Moment, Part, Words


class Authority(Part):
    """Who makes rules. Between authorities the strictest binds."""

    code: Code
    name: Line
    kind: AuthorityKind


class Species(Part):
    """An animal, and the card that says what to do with a live one."""

    code: Code
    name: Line
    latin: Line | None = None
    handling: Handling = Handling.CALL
    card: Words = ""


class Zone(Part):
    """A management area by its code."""

    code: Code
    name: Line
    area: Area


class Shape(Part):
    """A whole rulebook in which names may still lead nowhere."""

    format: Literal[1]
    title: Line
    in_force_from: Moment
    note: Words = ""
    authorities: tuple[Authority, ...] = ()
    species: tuple[Species, ...] = ()
    zones: tuple[Zone, ...] = ()
    rules: tuple[Rule, ...] = ()
