"""Signing in and out, and the choice of a team."""

from typing import Any

from django.contrib import messages
from django.contrib.auth import views as auth
from django.contrib.auth.forms import AuthenticationForm
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse_lazy
from django.utils.translation import gettext_lazy as _

from trapline.pages.guard import OPEN, SIGNED_IN, page
from trapline.pages.language import keep_language
from trapline.people.selectors import teams_with_names


class SignInForm(AuthenticationForm):
    """The framework's form with our sentences."""

    error_messages = {
        "invalid_login": _(
            "This sign-in name and password do not belong together. The password minds capital "
            "letters; the name does not. A manager of your team can set a new password."
        ),
        "inactive": _("This person can no longer sign in. Ask a manager of your team."),
    }


class _SignIn(auth.LoginView):
    authentication_form = SignInForm
    template_name = "sign_in.html"
    redirect_authenticated_user = True

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        answer = super().form_valid(form)
        return keep_language(answer, form.get_user())

    def form_invalid(self, form: AuthenticationForm) -> HttpResponse:
        return self.render_to_response(self.get_context_data(form=form), status=422)


@page(OPEN, "GET", "POST")
def sign_in(request: HttpRequest, **kwargs: Any) -> HttpResponseBase:
    """The sign-in page. Too many failures: axes answers with sign_in_locked.html."""
    return _SignIn.as_view()(request, **kwargs)


@page(OPEN, "POST")
def sign_out(request: HttpRequest) -> HttpResponseBase:
    """Ends the session."""
    return auth.LogoutView.as_view()(request)


@page(SIGNED_IN)
def home(request: HttpRequest) -> HttpResponse:
    """The person's teams; with only one, straight to its today."""
    teams = teams_with_names(request.user)
    if len(teams) == 1:
        return redirect("today", team=teams[0].slug)
    return render(request, "home.html", {"teams": teams})


class _SetPassword(auth.PasswordResetConfirmView):
    template_name = "set_password.html"
    success_url = reverse_lazy("sign_in")

    def form_valid(self, form: Any) -> HttpResponse:
        messages.success(self.request, _("Your password is set. Sign in with it."))
        return super().form_valid(form)

    def form_invalid(self, form: Any) -> HttpResponse:
        return self.render_to_response(self.get_context_data(form=form), status=422)


@page(OPEN, "GET", "POST")
def set_password(request: HttpRequest, **kwargs: Any) -> HttpResponseBase:
    """Where a manager's link leads: good once, the person sets a password."""
    return _SetPassword.as_view()(request, **kwargs)
