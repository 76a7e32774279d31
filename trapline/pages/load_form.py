"""The form of what to carry: what for, how long, and what there is room and time for."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.calc.load.kinds import Stay
from trapline.calc.load.question import Limits
from trapline.gear.models import DeviceKind
from trapline.pages.fields import QuantityField
from trapline.pages.forms import PlainForm
from trapline.plans.carrying import Work
from trapline.plans.worth import CATCHES, ENERGY, VALUE, Worth
from trapline.rulebook.models import Species
from trapline.wording.vocabulary import label_of

KCAL, PROTEIN, PELT = "kcal", "protein", "pelt"
GIVES = {
    KCAL: gettext_lazy("energy of one, kcal"),
    PROTEIN: gettext_lazy("protein’s share of it, %"),
    PELT: gettext_lazy("price of one pelt"),
}
NOTHING = Worth(None, None, None, "")


@dataclass(frozen=True)
class Objective:
    """What is to be the most, and how its amount is said."""

    words: Any
    unit: Any


OBJECTIVES = {
    CATCHES: Objective(gettext_lazy("Catches of one species"), gettext_lazy("catches")),
    ENERGY: Objective(gettext_lazy("Food energy"), gettext_lazy("kcal")),
    VALUE: Objective(gettext_lazy("Pelt value"), gettext_lazy("of pelts")),
}


class LoadForm(PlainForm):
    """The question: what for, how long, and what there is room and time for."""

    objective = forms.ChoiceField(
        label=gettext_lazy("The most of"),
        choices=[(name, one.words) for name, one in OBJECTIVES.items()],
        required=False,
        initial=CATCHES,
        widget=forms.RadioSelect,
    )
    target = forms.ChoiceField(
        label=gettext_lazy("Of"),
        help_text=gettext_lazy("Energy and value count every species; this one is shown beside."),
    )
    worth = forms.FloatField(
        label=gettext_lazy("Worth of one"),
        min_value=0,
        initial=1,
        help_text=gettext_lazy("Of catches: 1 counts each of them once."),
    )
    nights = forms.FloatField(
        label=gettext_lazy("Nights from check to check"), min_value=0.1, max_value=30, initial=1
    )
    checks = forms.IntegerField(
        label=gettext_lazy("Checks"), min_value=1, max_value=200, initial=10
    )
    sets = forms.IntegerField(
        label=gettext_lazy("Sets that one can check"), min_value=0, max_value=300, initial=20
    )
    mass_kg = QuantityField("mass", label=gettext_lazy("Mass to carry"), initial=10.0)
    volume_l = forms.FloatField(
        label=gettext_lazy("Volume to carry (litres)"), min_value=0, required=False
    )
    set_up_hours = forms.FloatField(
        label=gettext_lazy("Hours to set up"), min_value=0, required=False
    )
    round_hours = forms.FloatField(
        label=gettext_lazy("Hours at the sets on a round"), min_value=0, required=False
    )
    money = forms.FloatField(label=gettext_lazy("Money to spend"), min_value=0, initial=0)
    together = forms.IntegerField(
        label=gettext_lazy("Devices that the law allows, together"),
        min_value=0,
        required=False,
    )
    set_up_min = forms.FloatField(
        label=gettext_lazy("Minutes to set one up"),
        min_value=0,
        initial=10,
        help_text=gettext_lazy("For kinds of which nobody has said how long it takes."),
    )
    check_min = forms.FloatField(
        label=gettext_lazy("Minutes to check one"),
        min_value=0,
        initial=4,
        help_text=gettext_lazy("For kinds of which nobody has said how long it takes."),
    )
    tend_min = forms.FloatField(
        label=gettext_lazy("Minutes for each catch"), min_value=0, initial=10
    )
    assumed_per_100 = forms.FloatField(
        label=gettext_lazy("Assumed catches in 100 nights"),
        min_value=0,
        initial=1,
        help_text=gettext_lazy("For kinds with fewer than 100 nights of the team’s own."),
    )

    def __init__(
        self, *args: Any, species: list[Species], own: Mapping[UUID, Worth],
        kinds: Sequence[DeviceKind], **kwargs: Any,
    ) -> None:  # fmt: skip
        super().__init__(*args, **kwargs)
        self.species, self._own = species, own
        self.kinds_of = {
            code: [one for one in kinds if one.device_class == code]
            for code in dict.fromkeys(one.device_class for one in kinds)
        }
        for code in self.kinds_of:
            self.fields[f"law-{code}"] = forms.IntegerField(
                label=_("Most that the law allows: %(kind)s") % {"kind": class_words(code)},
                required=False,
                min_value=0,
            )
        for kind in kinds:
            self.fields[f"assumed-{kind.id}"] = forms.FloatField(
                label=_("Assumed in 100 nights: %(kind)s") % {"kind": kind.name},
                required=False,
                min_value=0,
            )
        for one in species:
            had = own.get(one.id, NOTHING)
            share = None if had.protein_share is None else round(100 * had.protein_share, 1)
            for sort, initial in ((KCAL, had.kcal), (PELT, had.pelt), (PROTEIN, share)):
                name = f"{sort}-{one.id}"
                self.fields[name] = forms.FloatField(
                    label=f"{one.name}: {GIVES[sort]}",
                    required=False,
                    min_value=0,
                    max_value=100 if sort == PROTEIN else None,
                    initial=None if initial is None else round(initial, 2),
                )
        self.fields["target"].choices = [(str(one.id), one.name) for one in species]  # type: ignore[attr-defined]

    @property
    def defaults(self) -> dict[str, Any]:
        """What the page is reckoned with before anybody has asked."""
        said = {name: self[name].value() for name in self.fields}
        return {**said, "target": self.fields["target"].choices[0][0]}  # type: ignore[attr-defined]

    @property
    def gives(self) -> list[tuple[str, list[Any]]]:
        """Each species with its fields: energy, protein's share, pelt."""
        return [
            (one.name, [self[f"{sort}-{one.id}"] for sort in (KCAL, PROTEIN, PELT)])
            for one in self.species
        ]

    @property
    def by_law(self) -> list[tuple[str, Any]]:
        """Each class of device with the field of what the law allows of it."""
        return [(class_words(code), self[f"law-{code}"]) for code in self.kinds_of]

    @property
    def by_kind(self) -> list[tuple[str, Any]]:
        """Each kind of device with the field of what it may catch."""
        kinds = [one for some in self.kinds_of.values() for one in some]
        return [(one.name, self[f"assumed-{one.id}"]) for one in kinds]

    @property
    def told(self) -> bool:
        """Whether anything of the law or of single kinds was said."""
        names = [name for name in self.fields if name.startswith(("law-", "assumed-"))]
        return any(self[name].value() not in (None, "") for name in names)

    def law(self) -> list[tuple[str, frozenset[str], int]]:
        """What the law counts: the words of a group, its kinds, the most of them together."""
        said, found = self.cleaned_data, []
        for code, kinds in self.kinds_of.items():
            if said[f"law-{code}"] is not None:
                keys = frozenset(str(one.id) for one in kinds)
                found.append((class_words(code), keys, said[f"law-{code}"]))
        if said["together"] is not None:
            every = frozenset(str(one.id) for some in self.kinds_of.values() for one in some)
            found.append((_("all devices"), every, said["together"]))
        return found

    @property
    def plain_fields(self) -> list[Any]:
        """The other fields, for the page."""
        return [one for one in self.visible_fields() if "-" not in one.name]

    def _given(self, sort: str) -> dict[UUID, float | None]:
        """Of each species as typed; as the team's own record has it where nothing was sent."""
        return {
            one.id: self.cleaned_data[name] if (name := f"{sort}-{one.id}") in self.data
            else self.fields[name].initial
            for one in self.species
        }  # fmt: skip

    @property
    def aim(self) -> str:
        """The objective's code."""
        return str(self.cleaned_data["objective"] or CATCHES)

    def each(self) -> dict[UUID, float]:
        """Of one animal of each species, by the objective; the target is always in it."""
        target = UUID(self.cleaned_data["target"])
        if self.aim == CATCHES:
            return {target: self.cleaned_data["worth"]}
        sort = KCAL if self.aim == ENERGY else PELT
        return {target: 0.0} | {key: one for key, one in self._given(sort).items() if one}

    def protein(self) -> dict[UUID, float | None]:
        """Protein's share of each species' energy, 0 to 1."""
        return {
            key: None if one is None else one / 100 for key, one in self._given(PROTEIN).items()
        }

    def clean(self) -> dict[str, Any]:
        said = super().clean() or self.cleaned_data
        if not self.errors and self.aim != CATCHES and not any(self.each().values()):
            words = _("Say below what one animal of at least one species gives.")
            self.add_error("objective", words)
        return said

    def question(self) -> tuple[UUID, Stay, Limits, Work]:
        said = self.cleaned_data
        endless = float("inf")
        limits = Limits(
            sets=said["sets"],
            mass_kg=said["mass_kg"],
            volume_l=endless if said["volume_l"] is None else said["volume_l"],
            set_up_min=endless if said["set_up_hours"] is None else said["set_up_hours"] * 60,
            check_min=endless if said["round_hours"] is None else said["round_hours"] * 60,
            money=said["money"],
            law=tuple((keys, most) for _words, keys, most in self.law()),
        )
        names = ("set_up_min", "check_min", "tend_min", "assumed_per_100")
        assumed = {
            UUID(name.removeprefix("assumed-")): one
            for name, one in said.items()
            if name.startswith("assumed-") and one is not None
        }
        work = Work(**{name: said[name] for name in names}, assumed=assumed)
        return UUID(said["target"]), Stay(said["nights"], said["checks"]), limits, work


def class_words(code: str) -> str:
    return str(label_of("device_class", code))
