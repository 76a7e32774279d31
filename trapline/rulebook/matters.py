"""What one rule can be about, each matter in its forms. A new matter is a line in `Rule`."""

from collections.abc import Iterator
from typing import Annotated, Literal, get_args

from pydantic import Field

from trapline.gear.models import Action, DeviceClass
from trapline.land.models import Placement
from trapline.rulebook import asks, forms
from trapline.rulebook.parts import Code, Day, Line, Moment, Part, RuleCode, Words


class _Rule(Part):
    """What every rule has. A list left out or empty means: all."""

    code: RuleCode
    authority: Code
    device_classes: tuple[DeviceClass, ...] = ()
    actions: tuple[Action, ...] = ()
    placements: tuple[Placement, ...] = ()
    zones: tuple[Code, ...] = ()
    species: tuple[Code, ...] = ()
    licence_kinds: tuple[Line, ...] = ()
    from_day: Day | None = Field(None, description="First day of the year on which it holds.")
    until_day: Day | None = Field(None, description="Last such day; may lie over the new year.")
    holds_from: Moment | None = Field(None, description="The moment from which it holds.")
    holds_until: Moment | None = Field(None, description="From this moment on it holds no more.")
    instead_of: tuple[RuleCode, ...] = Field(
        (), description="Wider rules of the same authority that this one stands in for."
    )
    source: Words = Field("", description="Where the rule is written, or its text.")


class _Check(_Rule):
    matter: Literal["check"]


class CheckWithinHours(_Check):
    form: Literal["within_hours"]
    params: forms.WithinHours


class CheckEachDay(_Check):
    form: Literal["each_day"]
    params: forms.EachDay = forms.EachDay()


class CheckEveryDays(_Check):
    form: Literal["every_days"]
    params: forms.EveryDays


class CheckEachWeek(_Check):
    form: Literal["each_week"]
    params: forms.EachWeek = forms.EachWeek()


class CheckByTemperature(_Check):
    form: Literal["by_temperature"]
    params: forms.ByTemperature


class CheckMonitored(_Check):
    form: Literal["monitored"]
    params: forms.Monitored


class CheckNone(_Check):
    form: Literal["none"]
    params: forms.NoInterval = forms.NoInterval()


class _Season(_Rule):
    """When the species may be taken. Split dates are two rules: open is what any of them opens."""

    matter: Literal["season"]


class SeasonEachYear(_Season):
    form: Literal["each_year"]
    params: forms.EachYear


class SeasonOnce(_Season):
    form: Literal["once"]
    params: forms.Once


class Limit(_Rule):
    """How many may be taken: a bag limit or a quota."""

    matter: Literal["limit"]
    form: Literal["per_person", "per_team", "per_zone"]
    params: forms.Count


class _Device(_Rule):
    """Which devices may stand there at all."""

    matter: Literal["device"]


class DeviceForbidden(_Device):
    form: Literal["forbidden"]
    params: asks.Nothing = asks.Nothing()


class DeviceJawSpread(_Device):
    form: Literal["jaw_spread"]
    params: asks.Spread


class _Loop(_Rule):
    """How a snare's loop must hang."""

    matter: Literal["loop"]


class LoopDiameter(_Loop):
    form: Literal["diameter"]
    params: asks.Diameter


class LoopHeight(_Loop):
    form: Literal["height"]
    params: asks.Height


class _PartOf(_Rule):
    """What a device must be built with."""

    matter: Literal["part"]


class PartRequired(_PartOf):
    form: Literal["required"]
    params: asks.OfPart


class PartStrength(_PartOf):
    form: Literal["strength"]
    params: asks.Strength


class TagRequired(_Rule):
    """Each device bears its owner's tag."""

    matter: Literal["tag"]
    form: Literal["required"]
    params: asks.Nothing = asks.Nothing()


class BaitNotInView(_Rule):
    """No bait that can be seen from above."""

    matter: Literal["bait"]
    form: Literal["not_in_view"]
    params: asks.Nothing = asks.Nothing()


class Setback(_Rule):
    """How far a set keeps from what lies on the land."""

    matter: Literal["setback"]
    form: Literal["from_feature"]
    params: asks.FromFeature


class _Report(_Rule):
    """What must be told to the authority, and by when."""

    matter: Literal["report"]


class ReportWithinHours(_Report):
    form: Literal["within_hours"]
    params: asks.OfAnimal


class ReportByDate(_Report):
    form: Literal["by_date"]
    params: asks.OfSeason


class Seal(_Rule):
    """A pelt is sealed or tagged within so many days of the catch or of the season's close."""

    matter: Literal["seal"]
    form: Literal["of_catch", "of_close"]
    params: asks.Marked


class SampleHandedIn(_Rule):
    """A sample of an animal kept goes in within so many days of the catch or the season's close."""

    matter: Literal["sample"]
    form: Literal["of_catch", "of_close"]
    params: asks.HandedIn


class SkillRequired(_Rule):
    """Only who is signed off for these sets such a set."""

    matter: Literal["skill"]
    form: Literal["required"]
    params: asks.Skills


class Supervision(_Rule):
    """How somebody without the sign-off is supervised."""

    matter: Literal["supervision"]
    form: Literal["while_learning"]
    params: asks.Watched


class Agent(_Rule):
    """What another than the licence's holder may do, and with what paper."""

    matter: Literal["agent"]
    form: Literal["may"]
    params: asks.May


class Tending(_Rule):
    """Hours in which nobody tends such a set, whatever rule sets its interval."""

    matter: Literal["tending"]
    form: Literal["forbidden_hours"]
    params: asks.Hours


_ByForm = Field(discriminator="form")
CheckRule = Annotated[
    CheckWithinHours
    | CheckEachDay
    | CheckEveryDays
    | CheckEachWeek
    | CheckByTemperature
    | CheckMonitored
    | CheckNone,
    _ByForm,
]
SeasonRule = Annotated[SeasonEachYear | SeasonOnce, _ByForm]
DeviceRule = Annotated[DeviceForbidden | DeviceJawSpread, _ByForm]
LoopRule = Annotated[LoopDiameter | LoopHeight, _ByForm]
PartRule = Annotated[PartRequired | PartStrength, _ByForm]
ReportRule = Annotated[ReportWithinHours | ReportByDate, _ByForm]
Rule = Annotated[
    CheckRule
    | SeasonRule
    | Limit
    | DeviceRule
    | LoopRule
    | PartRule
    | TagRequired
    | BaitNotInView
    | Setback
    | ReportRule
    | Seal
    | SampleHandedIn
    | SkillRequired
    | Supervision
    | Agent
    | Tending,
    Field(discriminator="matter"),
]


def shapes() -> dict[tuple[str, str], type[_Rule]]:
    """The class of each matter and form, in the order in which they stand here."""
    return {
        (get_args(cls.model_fields["matter"].annotation)[0], form): cls
        for cls in _below(_Rule)
        if "form" in cls.model_fields
        for form in get_args(cls.model_fields["form"].annotation)
    }


def _below(cls: type[_Rule]) -> Iterator[type[_Rule]]:
    for inner in cls.__subclasses__():
        yield inner
        yield from _below(inner)
