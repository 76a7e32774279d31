"""What a check and a catch may say, and what must not contradict itself."""

from typing import Annotated, Self
from uuid import UUID

from pydantic import Field, model_validator

from trapline.lines import words
from trapline.record.acting import Body
from trapline.record.geo import LonLat, Metres

Text = Annotated[str, Field(max_length=2000)]
Short = Annotated[str, Field(max_length=120)]


class CatchSaid(Body):
    """An animal found in the device."""

    animal: UUID
    species: UUID
    sex: words.Sex = words.Sex.UNKNOWN
    age: words.Age = words.Age.UNKNOWN
    alive_on_arrival: bool
    held_where: Short = ""
    is_target: bool | None = None  # from the set's targets, if not said
    fate: words.Fate
    means: Short = ""
    dispatched_by: UUID | None = None  # who acts, if not said
    condition: Short = ""
    handed_to: Short = ""
    reference: Short = ""
    weight_kg: Annotated[float, Field(gt=0, le=1000)] | None = None
    device_tag: Short = ""
    site_tag: Short = ""
    seal: Short = ""

    @model_validator(mode="after")
    def one_story(self) -> Self:
        if self.fate == words.Fate.DEAD and self.alive_on_arrival:
            raise ValueError("an animal alive on arrival was not found dead")
        if self.fate == words.Fate.DISPATCHED and not self.alive_on_arrival:
            raise ValueError("an animal dead on arrival was not dispatched: found dead")
        if self.fate == words.Fate.HANDED and not self.handed_to:
            raise ValueError("say to whom the animal was handed")
        return self


class Moved(Body):
    """The set's new place."""

    place: LonLat
    accuracy_m: Metres | None = None
    placement: words.Placement | None = None


class Raised(Body):
    """The loop's new height above today's surface."""

    loop_height_m: Metres


class CheckSaid(Body):
    """A check, as the field guide's words have it."""

    check: UUID
    set: UUID
    how_seen: words.HowSeen = words.HowSeen.AT_SET
    seen_from_m: Metres | None = None
    supervision: words.Supervision = words.Supervision.NONE
    supervised_by: UUID | None = None
    position: LonLat | None = None
    accuracy_m: Metres | None = None
    found: words.Found
    sign: words.Sign | None = None
    gone_how: words.Gone | None = None
    done: list[words.Done] = Field(default_factory=list, max_length=6)
    placement_seen: words.Placement | None = None
    water_depth_m: Metres | None = None
    snow_depth_m: Metres | None = None
    reason: Text = ""
    note: Text = ""
    ends_waiting: UUID | None = None
    new_device: UUID | None = None
    moved_to: Moved | None = None
    raised_to: Raised | None = None
    catches: list[CatchSaid] = Field(default_factory=list, max_length=10)

    @model_validator(mode="after")
    def one_story(self) -> Self:
        for broken, why in (
            ((self.found == "gone") != (self.gone_how is not None), "found 'gone' says how"),
            (self.sign is not None and self.found != "sprung_empty", "a sign goes with 'sprung'"),
            (bool(self.catches) and self.found != "animal", "catches go with found 'animal'"),
            (self.found == "animal" and not self.catches, "found 'animal' needs its catch"),
            (self.found == "not_reached" and not self.reason, "'not reached' needs its reason"),
            (
                self.found == "not_reached" and bool(set(self.done) - {"left"}),
                "nothing can be done at a set that was not reached",
            ),
            (
                (self.how_seen == "from_distance") != (self.seen_from_m is not None),
                "seen from a distance says how far, and only that",
            ),
            (("moved" in self.done) != (self.moved_to is not None), "'moved' says where to"),
            (("raised" in self.done) != (self.raised_to is not None), "'raised' says how high"),
            (
                self.new_device is not None and "remade" not in self.done,
                "a new device goes with 'remade'",
            ),
            (
                self.supervision != "" and self.supervised_by is None,
                "supervision says by whom",
            ),
        ):
            if broken:
                raise ValueError(why)
        return self
