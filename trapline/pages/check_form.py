"""The check form: what was found, what was done, and the animals, in one body of an act."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from trapline.ground.errors import Problem
from trapline.ground.ids import new_id
from trapline.ground.words import sentence
from trapline.lines import words
from trapline.pages.fields import QuantityField
from trapline.pages.forms import DatedForm, prepare, unchosen

YES, NO = "yes", "no"
MOST_CATCHES = 10


class CatchForm(forms.Form):
    """One animal."""

    # A required field in a part that is not shown would keep a browser from sending the form.
    use_required_attribute = False

    animal = forms.UUIDField(widget=forms.HiddenInput)
    species = forms.ChoiceField(label=_("Species"))
    sex = forms.ChoiceField(label=_("Sex"), choices=words.Sex, widget=forms.RadioSelect)
    age = forms.ChoiceField(label=_("Age"), choices=words.Age, widget=forms.RadioSelect)
    alive_on_arrival = forms.TypedChoiceField(
        label=_("Alive on arrival"),
        choices=[(YES, _("Alive")), (NO, _("Dead"))],
        coerce=lambda value: value == YES,
        widget=forms.RadioSelect,
    )
    fate = forms.ChoiceField(
        label=_("What became of it"), choices=words.Fate, widget=forms.RadioSelect
    )
    dispatched_by = forms.ChoiceField(label=_("Dispatched by"), required=False)
    means = forms.CharField(label=_("By what means"), required=False, max_length=120)
    condition = forms.CharField(label=_("Condition"), required=False, max_length=120)
    handed_to = forms.CharField(label=_("Handed to"), required=False, max_length=120)
    reference = forms.CharField(label=_("Reference"), required=False, max_length=120)
    held_where = forms.CharField(label=_("Held where"), required=False, max_length=120)
    weight_kg = QuantityField("mass", label=_("Weight"), required=False)
    site_tag = forms.CharField(label=_("Site tag or coupon"), required=False, max_length=120)
    seal = forms.CharField(label=_("Seal"), required=False, max_length=120)
    device_tag = forms.CharField(label=_("Device tag"), required=False, max_length=120)

    def __init__(self, *args: Any, options: "Options", **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)
        self.initial.setdefault("animal", new_id())
        self.initial.setdefault("sex", words.Sex.UNKNOWN)
        self.initial.setdefault("age", words.Age.UNKNOWN)
        _choices(self, "species", [unchosen(), *options.species])
        _choices(self, "dispatched_by", [("", _("Me")), *options.members])
        prepare(self, options.units)

    def clean(self) -> dict[str, Any]:
        said = self.cleaned_data
        fate, alive = said.get("fate"), said.get("alive_on_arrival")
        if fate == words.Fate.DEAD and alive:
            self.add_error("fate", _("It was alive on arrival, so it was not found dead."))
        if fate == words.Fate.DISPATCHED and alive is False:
            self.add_error("fate", _("It was dead on arrival: choose “Found dead”."))
        if fate == words.Fate.HANDED and not said.get("handed_to"):
            self.add_error("handed_to", _("Say to whom."))
        return said

    def body(self) -> dict[str, Any]:
        """The animal as the act takes it, without what was left empty."""
        return {name: value for name, value in self.cleaned_data.items() if value not in ("", None)}


class Options:
    """What the lists of the form offer: pairs of id and words."""

    def __init__(
        self,
        *,
        zone: str,
        units: str,
        species: Sequence[tuple[str, str]],
        members: Sequence[tuple[str, str]],
        devices: Sequence[tuple[str, str]],
        waiting: Sequence[tuple[str, str]],
    ) -> None:
        self.zone, self.units = zone, units
        self.species, self.members = species, members
        self.devices, self.waiting = devices, waiting


def _choices(form: forms.Form, name: str, choices: Sequence[tuple[str, Any]]) -> None:
    form.fields[name].choices = choices  # type: ignore[attr-defined]


class CheckForm(DatedForm):
    """A check of one set. `catches` are its animals, each a form of its own."""

    at_field = {
        "seen_from_m": "seen_from",
        "moved_to": "lat",
        "raised_to": "height",
        "position": "here_lat",
        "at": "when",
        "wall_at": "when",
    }
    check = forms.UUIDField(widget=forms.HiddenInput)
    found = forms.ChoiceField(
        label=_("What did you find?"), choices=words.Found, widget=forms.RadioSelect
    )
    sign = forms.ChoiceField(
        label=_("Sprung by"), choices=words.Sign, widget=forms.RadioSelect, required=False
    )
    gone_how = forms.ChoiceField(
        label=_("How is it gone?"), choices=words.Gone, widget=forms.RadioSelect, required=False
    )
    reason = forms.CharField(
        label=_("Reason"),
        required=False,
        max_length=2000,
        help_text=_("Storm, flood, thin ice. It explains; it does not move the due time."),
    )
    done = forms.MultipleChoiceField(
        label=_("What did you do?"),
        choices=words.Done,
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )
    height = QuantityField("size", label=_("Loop’s height above today’s surface"), required=False)
    lat = forms.FloatField(
        label=_("New place, latitude"), required=False, min_value=-90, max_value=90
    )
    lon = forms.FloatField(
        label=_("New place, longitude"), required=False, min_value=-180, max_value=180
    )
    new_device = forms.ChoiceField(label=_("Remade with"), required=False)
    ends_waiting = forms.ChoiceField(label=_("This is the animal that waited"), required=False)
    how_seen = forms.ChoiceField(
        label=_("How did you see it?"), choices=words.HowSeen, widget=forms.RadioSelect
    )
    seen_from = QuantityField("distance", label=_("From how far"), required=False)
    supervision = forms.ChoiceField(
        label=_("Supervision"),
        choices=words.Supervision,
        widget=forms.RadioSelect,
        required=False,
    )
    supervised_by = forms.ChoiceField(label=_("Supervised by"), required=False)
    placement_seen = forms.ChoiceField(label=_("Placement as seen today"), required=False)
    snow_depth_m = QuantityField("depth", label=_("Snow depth"), required=False)
    water_depth_m = QuantityField("depth", label=_("Water depth"), required=False)
    note = forms.CharField(
        label=_("Note"), required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 3})
    )
    here_lat = forms.FloatField(
        label=_("Where you stood, latitude"), required=False, min_value=-90, max_value=90
    )
    here_lon = forms.FloatField(
        label=_("Where you stood, longitude"), required=False, min_value=-180, max_value=180
    )
    accuracy_m = QuantityField("distance", label=_("Accuracy"), required=False)

    def __init__(
        self, *args: Any, options: Options, set_id: Any, catches: int = 1, **kwargs: Any
    ) -> None:
        super().__init__(*args, units=options.units, tz=options.zone, **kwargs)
        self.set_id = set_id
        self.initial.setdefault("check", new_id())
        self.initial.setdefault("how_seen", words.HowSeen.AT_SET)
        self.initial.setdefault("supervision", "")
        _choices(self, "new_device", [("", _("The same device")), *options.devices])
        _choices(self, "ends_waiting", [("", _("No")), *options.waiting])
        _choices(self, "supervised_by", [unchosen(), *options.members])
        _choices(self, "placement_seen", [("", _("As it was placed")), *words.Placement.choices])
        started: list[dict[str, Any]] = self.initial.get("catches", [])
        self.catches = [
            CatchForm(
                self.data if self.is_bound else None,
                prefix=f"catch-{number}",
                options=options,
                initial=started[number] if number < len(started) else {},
            )
            for number in range(max(catches, len(started)))
        ]

    def is_valid(self) -> bool:
        sound = super().is_valid()
        if not self.is_bound or self.cleaned_data.get("found") != words.Found.ANIMAL:
            return sound
        return all([each.is_valid() for each in self.catches]) and sound

    @property
    def refused(self) -> bool:
        """Whether anything is wrong, in the form or in an animal that belongs to it."""
        animal = self.is_bound and self["found"].data == words.Found.ANIMAL
        return bool(self.errors) or (animal and any(each.errors for each in self.catches))

    def clean(self) -> dict[str, Any]:
        said = self.cleaned_data
        found, done = said.get("found"), said.get("done", [])
        needed = (
            (found == words.Found.GONE, "gone_how", _("Say how it is gone.")),
            (found == words.Found.NOT_REACHED, "reason", _("Say why it was not reached.")),
            (said.get("how_seen") == words.HowSeen.DISTANCE, "seen_from", _("Say from how far.")),
            (bool(said.get("supervision")), "supervised_by", _("Say by whom.")),
            (words.Done.RAISED in done, "height", _("Say how high it hangs now.")),
            (words.Done.MOVED in done, "lat", _("Say where it stands now.")),
            (words.Done.MOVED in done, "lon", _("Say where it stands now.")),
        )
        for asked, name, told in needed:
            if asked and said.get(name) in (None, "") and name not in self.errors:
                self.add_error(name, told)
        return said

    def body(self) -> dict[str, Any]:
        """The act's body: only what goes with what was found; the rest stays on the form."""
        said = self.cleaned_data
        found, done = said["found"], list(said["done"])
        if found == words.Found.NOT_REACHED:
            done = []
        body: dict[str, Any] = {
            "check": said["check"],
            "set": self.set_id,
            "how_seen": said["how_seen"],
            "found": found,
            "done": done,
            "supervision": said["supervision"],
            "reason": said["reason"],
            "note": said["note"],
            "catches": [each.body() for each in self.catches] if found == "animal" else [],
        }
        parts: dict[str, Any] = {
            "sign": said["sign"] if found == words.Found.SPRUNG else None,
            "gone_how": said["gone_how"] if found == words.Found.GONE else None,
            "seen_from_m": said["seen_from"] if said["how_seen"] == "from_distance" else None,
            "supervised_by": said["supervised_by"] if said["supervision"] else None,
            "ends_waiting": said["ends_waiting"] if found == words.Found.ANIMAL else None,
            "new_device": said["new_device"] if words.Done.REMADE in done else None,
            "placement_seen": said["placement_seen"],
            "snow_depth_m": said["snow_depth_m"],
            "water_depth_m": said["water_depth_m"],
            "position": _lon_lat(said["here_lon"], said["here_lat"]),
            "accuracy_m": said["accuracy_m"],
        }
        if words.Done.MOVED in done:
            parts["moved_to"] = {"place": [said["lon"], said["lat"]]}
        if words.Done.RAISED in done:
            parts["raised_to"] = {"loop_height_m": said["height"]}
        return body | {name: value for name, value in parts.items() if value not in ("", None)}

    def show(self, *problems: Problem) -> None:
        """A catch's problem stands in its own form."""
        for problem in problems:
            step = problem.field.removeprefix("body.").removeprefix("check.").split(".")
            if step[0] == "catches" and len(step) > 1 and step[1].isdigit():
                number = int(step[1])
                if number < len(self.catches):
                    each = self.catches[number]
                    name = step[2] if len(step) > 2 and step[2] in each.fields else None
                    each.add_error(name, sentence(problem))
                    continue
            super().show(problem)


def _lon_lat(lon: float | None, lat: float | None) -> list[float] | None:
    return None if lon is None or lat is None else [lon, lat]
