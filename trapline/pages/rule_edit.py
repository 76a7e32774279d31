"""One rule written, changed or taken out: a version made from the one in force, shown before it is

taken in."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from trapline.ground.clock import now
from trapline.ground.errors import NotYours, Refused
from trapline.lines.selectors import zone_of_team
from trapline.pages.forms import person_units, posted
from trapline.pages.guard import MANAGES, team_page
from trapline.pages.rule_form import RuleForm, form_words
from trapline.pages.rules_in import FileForm, dry_run
from trapline.people.rights import Actor
from trapline.rulebook.matters import shapes
from trapline.rulebook.mending import place_of, with_rule, without_rule
from trapline.rulebook.models import Matter, Version
from trapline.rulebook.schema import Document
from trapline.rulebook.selectors import version_in_force
from trapline.wording.vocabulary import label_of


@team_page(MANAGES)
def choose_rule(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Which matter and form a new rule is of."""
    _in_force(actor)
    matters = [
        {
            "name": matter.label,
            "forms": [
                {"matter": matter.value, "form": form, "name": form_words(matter, form)}
                for of, form in shapes()
                if of == matter
            ],
        }
        for matter in Matter
    ]
    return render(request, "choose_rule.html", {"matters": matters})


@team_page(MANAGES, "GET", "POST")
def new_rule(request: HttpRequest, actor: Actor, matter: str, shape: str) -> HttpResponse:
    """Write a rule of a matter and form."""
    if (matter, shape) not in shapes():
        raise NotYours
    return _edit(request, actor, _in_force(actor), matter, shape, None)


@team_page(MANAGES, "GET", "POST")
def change_rule(request: HttpRequest, actor: Actor, code: str) -> HttpResponse:
    """Change a rule of the version in force, or (`remove`) take it out."""
    version = _in_force(actor)
    found = [one for one in version.document.get("rules", ()) if one["code"] == code]
    if not found:
        raise NotYours
    return _edit(request, actor, version, found[0]["matter"], found[0]["form"], code)


def _edit(
    request: HttpRequest, actor: Actor, version: Version, matter: str, form: str, was: str | None
) -> HttpResponse:
    units = person_units(request.user)
    edit = RuleForm(
        posted(request), units=units, version=version, matter=matter, form=form, was=was,
        tz=zone_of_team(actor.team),
    )  # fmt: skip
    if request.method == "POST" and (document := _made(request, edit, version)) is not None:
        shown: dict[str, Any] = {"form": FileForm(), **dry_run(actor, document, units)}
        return render(request, "take_rules.html", shown)
    shown = {
        "form": edit,
        "was": was,
        "matter": label_of("matter", matter),
        "form_name": form_words(matter, form),
        "version": version,
    }
    return render(request, "rule_form.html", shown, status=422 if edit.errors else 200)


def _made(request: HttpRequest, edit: RuleForm, version: Version) -> Document | None:
    """The rulebook with the change; None when it is refused, which then stands on the form."""
    removes = edit.was is not None and "remove" in request.POST
    if not edit.is_valid() and not removes:
        return None
    since = edit.cleaned_data.get("since") or now()
    at = place_of(version, edit.was)
    try:
        if removes and edit.was is not None:
            return without_rule(version, edit.was, since)
        return with_rule(version, edit.rule(), edit.was, since)
    except Refused as error:
        edit.tell(error.problems, -1 if removes else at)
        return None


def _in_force(actor: Actor) -> Version:
    version = version_in_force(actor.team, now())
    if version is None:
        raise NotYours
    return version
