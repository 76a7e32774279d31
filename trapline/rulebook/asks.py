"""What the rules of the other matters ask for: the gear, the place, the people, the animals.

Lengths in metres, forces in newtons, as the column names say.
"""

from typing import Annotated, Literal

from pydantic import Field

from trapline.gear.models import PartRole
from trapline.land.models import FeatureKind
from trapline.rulebook.models import SampleOf
from trapline.rulebook.parts import Code, Day, Number, Part, Whole, Window, Words

Metres = Annotated[Number, Field(ge=0, le=100_000)]
Newtons = Annotated[Number, Field(ge=0, le=1_000_000)]
Days = Annotated[Whole, Field(ge=1, le=366)]


class Nothing(Part):
    """The form says it all."""


class Spread(Part):
    """A trap's jaw spread, measured inside at its widest."""

    at_least_m: Metres | None = None
    at_most_m: Metres | None = None


class Diameter(Part):
    """The loop's diameter when set."""

    from_m: Metres | None = None
    to_m: Metres | None = None


class Height(Part):
    """The loop's height: from what it is measured, and to which edge of the loop.

    `surface` is the first surface beneath: ground, snow, ice or water.
    """

    from_m: Number | None = None
    to_m: Number | None = None
    datum: Literal["ground", "surface", "water"]
    edge: Literal["bottom", "top"]


class OfPart(Part):
    """The kind of part that must be there."""

    role: PartRole


class Strength(OfPart):
    """A part's breaking load; of a breakaway it is the load at which it lets go."""

    at_least_n: Newtons | None = None
    at_most_n: Newtons | None = None


class FromFeature(Part):
    """So far from the nearest feature of a kind, over the ground."""

    feature: FeatureKind
    at_least_m: Annotated[Number, Field(gt=0, le=100_000)]


class OfAnimal(Part):
    """Elapsed hours from the catch."""

    of: Literal["non_target", "any_catch"]
    hours: Annotated[Number, Field(gt=0, le=24 * 366)]


class OfSeason(Part):
    """A day of the year by whose end the report is filed."""

    of: Literal["harvest"]
    on: Day


class Marked(Part):
    """Sealed or tagged by the end of the day that comes so many days later."""

    what: Literal["seal", "tag"]
    days: Days


class HandedIn(Part):
    """A sample of each animal kept, handed in by the end of the day so many days later."""

    sample: SampleOf
    days: Days
    office: Words = Field("", description="To whom it goes.")


class Skills(Part):
    """Codes of the team's skills, all of which are asked for."""

    skills: Annotated[tuple[Code, ...], Field(min_length=1)]


class Watched(Part):
    """In sight and voice, or on call."""

    how: Literal["in_sight", "on_call"]


class May(Part):
    """What an agent may do under another's licence; what is left out, not."""

    tend: bool = False
    kill: bool = False
    carry: bool = False
    tag: bool = False
    paper: Words = Field("", description="The paper that the agent carries.")


class Hours(Window):
    """From a time of day to another, by the clock or the sun at the set's place."""


BOUNDS: dict[type[Part], tuple[str, str]] = {
    Spread: ("at_least_m", "at_most_m"),
    Diameter: ("from_m", "to_m"),
    Height: ("from_m", "to_m"),
    Strength: ("at_least_n", "at_most_n"),
}
"""Forms with a lower and an upper bound, of which at least one is given."""
