"""The land: what the team may be on, what it must keep away from, and both as map layers."""

import json
from typing import Any, cast
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils.cache import patch_cache_control
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.duties.renewals import renewal_days
from trapline.ground.clock import now
from trapline.ground.ids import new_id
from trapline.land.selectors import (
    PermissionShown,
    access_permission,
    features,
    layer,
    permissions,
)
from trapline.lines.selectors import day_of_team
from trapline.pages.fields import DayField
from trapline.pages.forms import ActForm, posted
from trapline.pages.guard import ANYONE_IN_TEAM, MANAGES, team_page
from trapline.pages.shapes import AREA, ShapeField
from trapline.pages.today import only_own
from trapline.people.rights import Actor
from trapline.people.selectors import members_in_office

MOST_OF_A_KIND, MOST_ON_MAP = 50, 2000
HOLDS, SOON, AHEAD, OVER = "holds", "soon", "ahead", "over"


@team_page(ANYONE_IN_TEAM)
def land(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Permissions and features. Four statements beside the guard's: permissions, days,

    the team's clock, features.

    A member sees the permissions they may use, and nobody's contact.
    """
    found, days = permissions(actor.team, only_own(actor)), renewal_days(actor.team)
    today = day_of_team(actor.team, now())
    rows = [{"permission": one, "state": _state(one, today, days)} for one in found]
    for row in rows:
        row["left"] = (row["permission"].valid_until - today).days  # type: ignore[attr-defined]
    shown = {
        "standing": [row for row in rows if row["state"] != OVER],
        "over": [row for row in rows if row["state"] == OVER],
        "days": days,
        "features": features(actor.team, MOST_OF_A_KIND),
        "most": MOST_OF_A_KIND,
    }
    return render(request, "land.html", shown)


def _state(one: PermissionShown, today: Any, days: int) -> str:
    if one.valid_until < today:
        return OVER
    if one.valid_from > today:
        return AHEAD
    return SOON if (one.valid_until - today).days <= days and not one.withdrawn_on else HOLDS


@team_page(ANYONE_IN_TEAM)
def land_layer(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Permissions and features as GeoJSON (RFC 7946) for the map. Two statements."""
    text = layer(actor.team, only_own(actor), day_of_team(actor.team, now()), MOST_ON_MAP)
    answer = HttpResponse(text, content_type="application/geo+json")
    patch_cache_control(answer, private=True, no_cache=True)
    return answer


class PermissionForm(ActForm):
    """A permission as its paper says, and its parcel: drawn, typed, or from a file."""

    permission = forms.UUIDField(widget=forms.HiddenInput)
    name = forms.CharField(label=gettext_lazy("What the team calls the parcel"), max_length=200)
    holder = forms.CharField(
        label=gettext_lazy("Who gave the permission"),
        max_length=200,
    )
    contact = forms.CharField(
        label=gettext_lazy("How to reach them"),
        required=False,
        max_length=200,
        help_text=gettext_lazy("Shown to instructors and managers only."),
    )
    reference = forms.CharField(label=gettext_lazy("Reference"), required=False, max_length=200)
    valid_from = DayField(label=gettext_lazy("First day"))
    valid_until = DayField(label=gettext_lazy("Last day"))
    conditions = forms.CharField(
        label=gettext_lazy("Conditions"),
        required=False,
        max_length=8000,
        widget=forms.Textarea(attrs={"rows": 4}),
    )
    members = forms.MultipleChoiceField(
        label=gettext_lazy("Who may go there"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=gettext_lazy("None chosen: everybody in the team."),
    )
    parcel = ShapeField(
        label=gettext_lazy("Its corners"),
        drawn=AREA,
        required=False,
        help_text=gettext_lazy(
            "One corner a line: latitude, longitude. An empty line begins another piece. "
            "GeoJSON can be pasted here too."
        ),
    )
    parcel_file = forms.FileField(label=gettext_lazy("Or a GeoJSON file"), required=False)

    def __init__(self, *args: Any, actor: Actor, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("permission", new_id())
        people = [(str(one.id), one.name) for one in members_in_office(actor.team)]
        self.fields["members"].choices = people  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        said = self.cleaned_data
        field = self.fields["parcel"]
        assert isinstance(field, ShapeField)
        if (file := said.get("parcel_file")) is not None:
            try:
                said["parcel"] = field.from_geojson(file.read())
            except forms.ValidationError as error:
                self.add_error("parcel_file", error)
            else:  # what was in the file stays on the page, so that it can be mended there
                data = cast("QueryDict", self.data).copy()
                data["parcel"] = json.dumps(said["parcel"])
                self.data = data
                self.errors.pop("parcel", None)
        elif not said.get("parcel") and "parcel" not in self.errors:
            self.add_error("parcel", _("Draw the parcel, type its corners, or choose a file."))
        return said

    def body(self) -> dict[str, Any]:
        body = super().body()
        del body["parcel_file"]
        return body


@team_page(MANAGES, "GET", "POST")
def new_permission(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Enter a permission: the act keep_permission."""
    form = PermissionForm(posted(request), request.FILES or None, actor=actor)
    return _kept(request, actor, form, None)


@team_page(MANAGES, "GET", "POST")
def change_permission(request: HttpRequest, actor: Actor, permission_id: UUID) -> HttpResponse:
    """Renew or change a permission: the act keep_permission with its id."""
    found = access_permission(actor.team, permission_id)
    names = ("name", "holder", "contact", "reference", "valid_from", "valid_until", "conditions")
    started = {name: getattr(found, name) for name in names} | {
        "permission": found.id,
        "members": [str(one) for one in found.members],
        "parcel": json.loads(found.parcel.geojson),
    }
    form = PermissionForm(posted(request), request.FILES or None, actor=actor, initial=started)
    return _kept(request, actor, form, found)


def _kept(request: HttpRequest, actor: Actor, form: PermissionForm, found: Any) -> HttpResponse:
    if request.method == "POST" and form.is_valid():
        if found is not None:
            form.cleaned_data["permission"] = found.id
        if form.file(actor, "keep_permission"):
            messages.success(request, _("The permission is kept."))
            return redirect("land", team=actor.team_slug)
    shown = {"form": form, "permission": found}
    return render(request, "permission_form.html", shown, status=422 if form.errors else 200)


class EndPermissionForm(ActForm):
    """From which day the permission no longer holds."""

    from_day = DayField(
        label=gettext_lazy("The first day without it"),
        help_text=gettext_lazy("The day after its last lets it run out as it stands."),
    )
    reason = forms.CharField(
        label=gettext_lazy("Why"),
        required=False,
        max_length=8000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def __init__(self, *args: Any, permission: UUID, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.permission = permission

    def body(self) -> dict[str, Any]:
        return super().body() | {"permission": self.permission}


@team_page(MANAGES, "GET", "POST")
def end_permission(request: HttpRequest, actor: Actor, permission_id: UUID) -> HttpResponse:
    """End a permission, or let it run out: the act withdraw_permission."""
    found = access_permission(actor.team, permission_id)
    form = EndPermissionForm(
        posted(request),
        permission=found.id,
        initial={"from_day": day_of_team(actor.team, now())},
    )
    if request.method == "POST" and form.file(actor, "withdraw_permission"):
        messages.success(request, _("It is kept that the permission ends."))
        return redirect("land", team=actor.team_slug)
    shown = {"form": form, "permission": found}
    return render(request, "end_permission.html", shown, status=422 if form.errors else 200)


class RenewalForm(ActForm):
    """How many days before its end a permission is to be renewed."""

    days = forms.IntegerField(label=gettext_lazy("Days before its end"), min_value=0, max_value=365)


@team_page(MANAGES, "GET", "POST")
def renewals(request: HttpRequest, actor: Actor) -> HttpResponse:
    """When permissions are to be renewed: the act set_renewal_days."""
    form = RenewalForm(posted(request), initial={"days": renewal_days(actor.team)})
    if request.method == "POST" and form.file(actor, "set_renewal_days"):
        messages.success(request, _("The renewals are moved."))
        return redirect("land", team=actor.team_slug)
    return render(request, "renewals.html", {"form": form}, status=422 if form.errors else 200)
