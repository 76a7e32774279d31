"""Forms about one animal: is its meat fit, who ate it, a sample of it, an entry taken back."""

from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.ground.ids import new_id
from trapline.kept.selectors import KeptAnimal, access_animal, history_of
from trapline.kept.words import MeatUse, Organs, SampleOf, Undo
from trapline.pages.fields import QuantityField
from trapline.pages.forms import ActForm, left_words, person_units, posted
from trapline.pages.guard import ANYONE_IN_TEAM, team_page
from trapline.pages.today import only_own
from trapline.people.rights import Actor
from trapline.people.selectors import members_in_office


class OfAnimal(ActForm):
    """A form about one animal."""

    def __init__(self, *args: Any, animal: KeptAnimal, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.animal = animal

    def body(self) -> dict[str, Any]:
        return super().body() | {"animal": self.animal.animal}


class JudgeForm(OfAnimal):
    """Fit for food or not, and why."""

    organs = forms.ChoiceField(
        label=gettext_lazy("Liver, lungs, heart, glands"), choices=Organs.choices,
        widget=forms.RadioSelect,
    )  # fmt: skip
    fit = forms.TypedChoiceField(
        label=gettext_lazy("Fit for food"),
        choices=[("yes", gettext_lazy("Fit")), ("no", gettext_lazy("Not fit"))],
        coerce=lambda value: value == "yes",
        widget=forms.RadioSelect,
    )
    why = forms.CharField(
        label=gettext_lazy("Why, and in what condition it was"), required=False, max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )  # fmt: skip
    edible_kg = QuantityField(
        label=gettext_lazy("Meat on the scale, raw and boned"), quantity="mass", required=False
    )


class ShareForm(OfAnimal):
    """Meat that was eaten, given away, fed or lost."""

    use = forms.ChoiceField(
        label=gettext_lazy("What became of it"), choices=MeatUse.choices, widget=forms.RadioSelect
    )
    kg = QuantityField(label=gettext_lazy("How much, raw"), quantity="mass")
    member = forms.ChoiceField(label=gettext_lazy("Who ate it or got it"), required=False)
    household = forms.CharField(
        label=gettext_lazy("Or somebody who is no member"), required=False, max_length=200,
        help_text=gettext_lazy("A household or a name, written the same each time."),
    )  # fmt: skip

    def __init__(self, *args: Any, members: list[Any], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        named = [(str(one.id), one.name) for one in members]
        self.fields["member"].choices = [("", _("Nobody of the team")), *named]  # type: ignore[attr-defined]

    def body(self) -> dict[str, Any]:
        said = super().body()
        return said | {"member": said["member"] or None}


class SampleForm(OfAnimal):
    """A sample of an animal under its label."""

    sample = forms.UUIDField(widget=forms.HiddenInput)
    what = forms.ChoiceField(
        label=gettext_lazy("What"), choices=SampleOf.choices, widget=forms.RadioSelect
    )
    label = forms.CharField(label=gettext_lazy("Label on it"), max_length=200)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("sample", new_id())


def _file(request: HttpRequest, actor: Actor, form: OfAnimal, kind: str, name: str) -> HttpResponse:
    """Show a form about an animal, or file it as an act and go back to the animal."""
    if request.method == "POST" and form.file(actor, kind):
        messages.success(request, left_words(form) or _("It is kept under the animal’s number."))
        return redirect("animal", team=actor.team_slug, animal_id=form.animal.animal)
    told = {"form": form, "one": form.animal, "act": kind, "name": name}
    return render(request, "animal_form.html", told, status=422 if form.errors else 200)


@team_page(ANYONE_IN_TEAM, "GET", "POST")
def judge_meat(request: HttpRequest, actor: Actor, animal_id: UUID) -> HttpResponse:
    """Whether it is fit for food: the act judge_meat. One statement beside the guard's."""
    one = access_animal(actor.team, animal_id, only_own(actor))
    form = JudgeForm(posted(request), animal=one, units=person_units(request.user))
    return _file(request, actor, form, "judge_meat", _("Fit for food?"))


@team_page(ANYONE_IN_TEAM, "GET", "POST")
def share_meat(request: HttpRequest, actor: Actor, animal_id: UUID) -> HttpResponse:
    """Who ate it: the act share_meat. Two statements beside the guard's: animal, members."""
    one = access_animal(actor.team, animal_id, only_own(actor))
    form = ShareForm(
        posted(request), animal=one, members=list(members_in_office(actor.team)),
        units=person_units(request.user),
    )  # fmt: skip
    return _file(request, actor, form, "share_meat", _("Who ate it"))


@team_page(ANYONE_IN_TEAM, "GET", "POST")
def take_sample(request: HttpRequest, actor: Actor, animal_id: UUID) -> HttpResponse:
    """A sample under its label: the act take_sample. One statement beside the guard's."""
    one = access_animal(actor.team, animal_id, only_own(actor))
    form = SampleForm(posted(request), animal=one, initial={"what": request.GET.get("what", "")})
    return _file(request, actor, form, "take_sample", _("A sample"))


class BackForm(OfAnimal):
    """Why an entry is taken back."""

    reason = forms.CharField(
        label=gettext_lazy("Why it was a mistake"), max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=gettext_lazy("The entry stays to be read, with your name and reason beside it."),
    )  # fmt: skip

    def __init__(self, *args: Any, what: str, row: UUID, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.said = {"what": what, "row": row}

    def body(self) -> dict[str, Any]:
        return {"reason": self.cleaned_data["reason"], **self.said}


@team_page(ANYONE_IN_TEAM, "GET", "POST")
def take_back(
    request: HttpRequest, actor: Actor, animal_id: UUID, what: str, row: UUID
) -> HttpResponse:
    """Take an entry of an animal back: the act take_back. Two statements beside the guard's."""
    one = access_animal(actor.team, animal_id, only_own(actor))
    there = [entry for entry in history_of(actor.team, animal_id) if entry.id == row]
    if what not in Undo.values or not there or there[0].what != what:
        raise Http404
    form = BackForm(posted(request), animal=one, what=what, row=row)
    return _file(request, actor, form, "take_back", _("Take an entry back"))
