"""What a person chooses for themselves: units, light, language, password."""

from typing import Any

from django import forms
from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.contrib.auth.forms import PasswordChangeForm
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.pages.forms import posted
from trapline.pages.guard import SIGNED_IN, page
from trapline.pages.language import keep_language, languages
from trapline.people.models import Light, Person, Units


class ChoicesForm(forms.ModelForm):  # type: ignore[type-arg]
    """Units, light and language of the person who is signed in."""

    units = forms.ChoiceField(
        label=gettext_lazy("Units"), choices=Units.choices, widget=forms.RadioSelect
    )
    light = forms.ChoiceField(
        label=gettext_lazy("Light"),
        choices=Light.choices,
        widget=forms.RadioSelect,
        help_text=gettext_lazy("Red light keeps your eyes used to the dark."),
    )
    language = forms.ChoiceField(label=gettext_lazy("Language"))
    email = forms.EmailField(
        label=gettext_lazy("E-mail for notices"),
        required=False,
        help_text=gettext_lazy("Without one, notices reach you on this site only."),
    )

    class Meta:
        model = Person
        fields = ("units", "light", "language", "email")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)
        self.fields["language"].choices = languages()  # type: ignore[attr-defined]

    def clean_email(self) -> str:
        email = str(self.cleaned_data["email"])
        if email and Person.objects.exclude(pk=self.instance.pk).filter(email__iexact=email):
            raise forms.ValidationError(_("Somebody else signs in with this e-mail."))
        return email


def _own(request: HttpRequest) -> Person:
    """Who is signed in, read afresh: a refused form must not change what the page shows."""
    assert request.user.pk is not None
    return Person.objects.get(pk=request.user.pk)


@page(SIGNED_IN, "GET", "POST")
def settings(request: HttpRequest) -> HttpResponse:
    """The person's own settings."""
    person = _own(request)
    form = ChoicesForm(posted(request), instance=person)
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, _("Your settings are kept."))
        return keep_language(redirect("settings"), person)
    status = 422 if form.errors else 200
    return render(request, "settings.html", {"form": form}, status=status)


@page(SIGNED_IN, "GET", "POST")
def password(request: HttpRequest) -> HttpResponse:
    """A new password, after the old one."""
    person = _own(request)
    form = PasswordChangeForm(person, posted(request))
    form.label_suffix = ""
    if request.method == "POST" and form.is_valid():
        form.save()
        update_session_auth_hash(request, person)
        messages.success(request, _("The new password holds from now on."))
        return redirect("settings")
    status = 422 if form.errors else 200
    return render(request, "password.html", {"form": form}, status=status)
