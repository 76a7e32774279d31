"""What managers keep: members and the links by which they set a password, licences, skills."""

from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.ground.errors import NeedsReview
from trapline.ground.ids import new_id
from trapline.pages.fields import DayField
from trapline.pages.forms import ActForm, posted, unchosen
from trapline.pages.guard import LEADS, MANAGES, team_page
from trapline.people.models import Membership, Role
from trapline.people.passwords import password_link
from trapline.people.rights import Actor
from trapline.people.selectors import member_for_office, members_in_office


class RoleForm(ActForm):
    """A member's role, and who answers for a student."""

    at_field = {"ended": "role"}
    role = forms.ChoiceField(
        label=gettext_lazy("Role"), choices=Role.choices, widget=forms.RadioSelect
    )
    instructor = forms.ChoiceField(
        label=gettext_lazy("Their instructor"),
        required=False,
        help_text=gettext_lazy("Who is told when a student’s check is overdue."),
    )

    def __init__(self, *args: Any, actor: Actor, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        leaders = [one for one in members_in_office(actor.team) if one.role != Role.MEMBER]
        self.fields["instructor"].choices = [  # type: ignore[attr-defined]
            ("", _("Nobody")),
            *((str(one.id), one.name) for one in leaders),
        ]

    def body(self) -> dict[str, Any]:
        said = super().body()
        return said | {"instructor": said["instructor"] or None}


class EnrolForm(RoleForm):
    """Somebody who comes into the team."""

    member = forms.UUIDField(widget=forms.HiddenInput)
    name = forms.CharField(label=gettext_lazy("Name"), max_length=120)
    sign_in_name = forms.CharField(
        label=gettext_lazy("Sign-in name"),
        max_length=150,
        help_text=gettext_lazy("If somebody already signs in by it here, that person is added."),
    )
    email = forms.EmailField(label=gettext_lazy("E-mail"), required=False)
    field_order = ("name", "sign_in_name", "email", "role", "instructor")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("member", new_id())


class ChangeForm(RoleForm):
    """How a member stands from now on."""

    def __init__(self, *args: Any, member: UUID, ends: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.member, self.ends = member, ends

    def body(self) -> dict[str, Any]:
        return super().body() | {"member": self.member, "ended": self.ends}


@team_page(MANAGES, "GET", "POST")
def new_member(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Add a member: the act enrol_member. Then to their page, for the link to a password."""
    form = EnrolForm(posted(request), actor=actor, initial={"role": Role.MEMBER})
    if request.method == "POST" and form.file(actor, "enrol_member"):
        said = form.cleaned_data
        messages.success(request, _("%(name)s is in the team.") % {"name": said["name"]})
        return redirect("member", team=actor.team_slug, member_id=said["member"])
    shown = {"form": form}
    return render(request, "new_member.html", shown, status=422 if form.errors else 200)


@team_page(MANAGES, "GET", "POST")
def member(request: HttpRequest, actor: Actor, member_id: UUID) -> HttpResponse:
    """Change a member's role, or (`end`) let them go: the act change_member."""
    found = member_for_office(actor.team, member_id)
    started = {"role": found.role, "instructor": str(found.instructor_id or "")}
    ends = "end" in request.POST
    form = ChangeForm(posted(request), actor=actor, member=member_id, ends=ends, initial=started)
    if request.method == "POST" and form.file(actor, "change_member"):
        said = _("%(name)s has left the team.") if ends else _("%(name)s’s role is kept.")
        messages.success(request, said % {"name": found.name})
        return redirect("members", team=actor.team_slug)
    shown = {"form": form, "member": found}
    return render(request, "member.html", shown, status=422 if form.errors else 200)


@team_page(MANAGES, "POST")
def give_link(request: HttpRequest, actor: Actor, member_id: UUID) -> HttpResponse:
    """A link, good once, by which the member sets a password. It is shown and kept nowhere."""
    found = member_for_office(actor.team, member_id)
    try:
        link = password_link(actor, member_id)
    except NeedsReview as error:
        return _no_link(request, actor, found, error)
    shown = {"member": found, "link": link, "host": request.build_absolute_uri("/").rstrip("/")}
    answer = render(request, "password_link.html", shown)
    answer["Cache-Control"] = "no-store"
    return answer


def _no_link(
    request: HttpRequest, actor: Actor, found: Membership, error: NeedsReview
) -> HttpResponse:
    form = ChangeForm({"role": found.role}, actor=actor, member=found.id, ends=False)
    form.errors.clear()
    form.show(error.problem)
    return render(request, "member.html", {"form": form, "member": found}, status=422)


class LicenceForm(ActForm):
    """A licence as its paper says."""

    licence = forms.UUIDField(widget=forms.HiddenInput)
    holder = forms.ChoiceField(label=gettext_lazy("Holder"))
    number = forms.CharField(label=gettext_lazy("Number"), max_length=120)
    authority = forms.CharField(label=gettext_lazy("Who issued it"), max_length=120)
    kind = forms.CharField(
        label=gettext_lazy("Kind"),
        required=False,
        max_length=60,
        help_text=gettext_lazy("As the rulebook names it, if its rules differ by kind."),
    )
    valid_from = DayField(label=gettext_lazy("Valid from"))
    valid_until = DayField(label=gettext_lazy("Valid until"))

    def __init__(self, *args: Any, actor: Actor, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("licence", new_id())
        people = [(str(one.id), one.name) for one in members_in_office(actor.team)]
        self.fields["holder"].choices = [unchosen(), *people]  # type: ignore[attr-defined]


@team_page(LEADS, "GET", "POST")
def new_licence(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Enter a licence: the act give_licence."""
    form = LicenceForm(posted(request), actor=actor)
    if request.method == "POST" and form.file(actor, "give_licence"):
        messages.success(request, _("The licence is entered."))
        return redirect("members", team=actor.team_slug)
    shown = {"form": form}
    return render(request, "new_licence.html", shown, status=422 if form.errors else 200)


class SkillForm(ActForm):
    """Something one can be signed off for."""

    skill = forms.UUIDField(widget=forms.HiddenInput)
    name = forms.CharField(label=gettext_lazy("What one may then do alone"), max_length=120)
    code = forms.SlugField(
        label=gettext_lazy("Code"),
        max_length=50,
        help_text=gettext_lazy(
            "Letters, digits, - and _. “dispatch” is the one that an alarm looks for."
        ),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("skill", new_id())


@team_page(LEADS, "GET", "POST")
def new_skill(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Enter a skill: the act name_skill."""
    form = SkillForm(posted(request))
    if request.method == "POST" and form.file(actor, "name_skill"):
        messages.success(request, _("It can be signed off now."))
        return redirect("sign_off", team=actor.team_slug)
    return render(request, "new_skill.html", {"form": form}, status=422 if form.errors else 200)
