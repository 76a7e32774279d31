"""Features of the land: drawn on the map, changed, taken off, imported from a file."""

import json
from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from trapline.ground.errors import Problem, Refused
from trapline.ground.ids import new_id
from trapline.ground.words import sentence
from trapline.land.formats import geojson_in, gpx_in
from trapline.land.models import FeatureKind
from trapline.land.selectors import access_feature
from trapline.pages.forms import ActForm, posted, unchosen
from trapline.pages.guard import LEADS, team_page
from trapline.pages.shapes import AREA, PATH, POINT, ShapeField, drawn_of
from trapline.people.rights import Actor
from trapline.record.import_features import PlannedFeature, dry_run

READERS = {"gpx": gpx_in.read, "geojson": geojson_in.read, "json": geojson_in.read}
DRAWN = (
    (POINT, gettext_lazy("A point")),
    (PATH, gettext_lazy("A path")),
    (AREA, gettext_lazy("An area")),
)


class FeatureForm(ActForm):
    """A feature and its shape."""

    feature = forms.UUIDField(widget=forms.HiddenInput)
    kind = forms.ChoiceField(
        label=gettext_lazy("What it is"), choices=FeatureKind.choices, widget=forms.RadioSelect
    )
    name = forms.CharField(label=gettext_lazy("Name"), required=False, max_length=200)
    source = forms.CharField(
        label=gettext_lazy("Where this is known from"), required=False, max_length=200
    )
    drawn = forms.ChoiceField(
        label=gettext_lazy("Drawn as"), choices=DRAWN, widget=forms.RadioSelect, initial=PATH
    )
    shape = ShapeField(
        label=gettext_lazy("Its places"),
        help_text=gettext_lazy(
            "One place a line: latitude, longitude. An empty line begins another part. "
            "GeoJSON can be pasted here too."
        ),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("feature", new_id())
        field = self.fields["shape"]
        assert isinstance(field, ShapeField)
        drawn = str(self.data.get("drawn", ""))
        field.drawn = drawn if drawn in dict(DRAWN) else AREA

    def body(self) -> dict[str, Any]:
        body = super().body()
        del body["drawn"]
        return body


@team_page(LEADS, "GET", "POST")
def new_feature(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Draw a feature: the act draw_feature."""
    return _drawn(request, actor, FeatureForm(posted(request)), None)


@team_page(LEADS, "GET", "POST")
def change_feature(request: HttpRequest, actor: Actor, feature_id: UUID) -> HttpResponse:
    """Draw it anew, or (`drop`) take it off the land: the acts draw_feature and drop_feature."""
    found = access_feature(actor.team, feature_id)
    if "drop" in request.POST:
        return _dropped(request, actor, found)
    shape = json.loads(found.shape.geojson)
    started = {
        "feature": found.id, "kind": found.kind, "name": found.name, "source": found.source,
        "drawn": drawn_of(shape), "shape": shape,
    }  # fmt: skip
    return _drawn(request, actor, FeatureForm(posted(request), initial=started), found)


def _drawn(request: HttpRequest, actor: Actor, form: FeatureForm, found: Any) -> HttpResponse:
    if request.method == "POST" and form.is_valid():
        if found is not None:
            form.cleaned_data["feature"] = found.id
        if form.file(actor, "draw_feature"):
            messages.success(request, _("It is on the map."))
            return redirect("land", team=actor.team_slug)
    shown = {"form": form, "feature": found}
    return render(request, "feature_form.html", shown, status=422 if form.errors else 200)


class _DropForm(ActForm):
    def __init__(self, *args: Any, feature: UUID, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.feature = feature

    def body(self) -> dict[str, Any]:
        return {"feature": self.feature}


def _dropped(request: HttpRequest, actor: Actor, found: Any) -> HttpResponse:
    form = _DropForm(request.POST, feature=found.id)
    if form.file(actor, "drop_feature"):
        messages.success(request, _("It is off the land."))
        return redirect("land", team=actor.team_slug)
    shown = {"form": form, "feature": found}
    return render(request, "feature_form.html", shown, status=422)


class FeatureFileForm(forms.Form):
    """A file of features, and what is to be said of those that do not say it themselves."""

    file = forms.FileField(label=gettext_lazy("GeoJSON or GPX file"))
    kind = forms.ChoiceField(
        label=gettext_lazy("What they are, where the file does not say it"),
        required=False,
        choices=[unchosen(), *FeatureKind.choices],
        help_text=gettext_lazy(
            "A GeoJSON feature says it in its property “kind”, a GPX way in its “type”: "
            "trail, road, dwelling, water or boundary."
        ),
    )
    source = forms.CharField(
        label=gettext_lazy("Where this is known from"), required=False, max_length=200
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)
        self.planned: list[PlannedFeature] = []
        self.act_body: dict[str, Any] | None = None

    def plan(self, actor: Actor) -> bool:
        """Read the file and plan its act. False: it is refused whole, with the reason."""
        if not self.is_valid():
            return False
        file, said = self.cleaned_data["file"], self.cleaned_data
        try:
            reader = READERS.get(str(file.name).rpartition(".")[2].lower())
            if reader is None:
                raise Refused(Problem("file", "file_no_land"))
            self.planned, self.act_body = dry_run(
                actor, reader(file.read()), kind=said["kind"] or None,
                source=said["source"] or str(file.name)[:200],
            )  # fmt: skip
        except Refused as error:
            self.add_error("file", sentence(error.problems[0]))
            return False
        return True


class TakeFeaturesForm(ActForm):
    """The act of a dry run, sent back to be taken in."""

    said = forms.CharField(widget=forms.HiddenInput, strip=False)

    def clean(self) -> dict[str, Any]:
        try:
            said = json.loads(self.cleaned_data.get("said", ""))
        except ValueError:
            said = None
        if not isinstance(said, dict):
            self.add_error(None, _("What was shown did not come back whole. Read it again."))
        return self.cleaned_data | {"said": said}

    def body(self) -> dict[str, Any]:
        body: dict[str, Any] = self.cleaned_data["said"]
        return body


@team_page(LEADS, "GET", "POST")
def import_features(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Step one: read the file and show what of it would come in; nothing is written."""
    form = FeatureFileForm(posted(request), request.FILES or None)
    shown: dict[str, Any] = {"form": form}
    if request.method == "POST" and form.plan(actor):
        shown |= {
            "planned": form.planned,
            "coming": sum(one.said is not None for one in form.planned),
        }
        if form.act_body is not None:
            said = json.dumps(form.act_body, ensure_ascii=False, separators=(",", ":"))
            shown["take"] = TakeFeaturesForm(initial={"said": said})
    return render(request, "import_features.html", shown, status=422 if form.errors else 200)


@team_page(LEADS, "POST")
def confirm_features(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Step two: the act import_features, whole or not at all."""
    form = TakeFeaturesForm(request.POST)
    if form.file(actor, "import_features"):
        n = len(form.cleaned_data["said"]["features"])
        said = ngettext("%(n)s feature is in.", "%(n)s features are in.", n) % {"n": n}
        messages.success(request, said)
        return redirect("land", team=actor.team_slug)
    shown = {"form": FeatureFileForm(), "refused": form}
    return render(request, "import_features.html", shown, status=422)
