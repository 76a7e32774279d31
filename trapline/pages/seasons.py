"""A member's season, to the member, instructors and managers. It prints as a record."""

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from trapline.ground.clock import now
from trapline.ground.errors import NotYours
from trapline.pages.guard import ANYONE_IN_TEAM, team_page
from trapline.pages.reports import asked_form
from trapline.pages.words_of_figures import rate_words, share_words
from trapline.people.rights import Actor
from trapline.reports.member_season import MemberSeason, member_season
from trapline.reports.members_compared import compare_now


@team_page(ANYONE_IN_TEAM, "GET", "POST")
def member_season_page(request: HttpRequest, actor: Actor, member_id: UUID) -> HttpResponse:
    """Somebody else's season is not there for a member; a POST compares with the others anew.

    Seven statements beside the guard's where the figures are kept.
    """
    if not (actor.leads or actor.member == member_id):
        raise NotYours
    form = asked_form(request)
    if not form.is_valid():
        return render(request, "member_season.html", {"form": form}, status=422)
    if request.method == "POST":
        compare_now(actor.team, form.period, now())
        return redirect(request.get_full_path())
    said = member_season(actor.team, member_id, form.period, now())
    told = {
        "form": form, "query": request.GET.urlencode(), "season": said, "row": said.member,
        "rate_words": rate_words(said.member),
        "non_target_words": share_words(said.member.non_target), "moment": now(),
        "against_words": against_words(said),
    }  # fmt: skip
    return render(request, "member_season.html", told)


def against_words(said: MemberSeason) -> str:
    """Observed against expected, or why there is no figure."""
    one = said.against
    if one is None:
        return _("no look in these days")
    if not one.nights:
        return _("no figure: nobody else looked at comparable sets")
    if not one.tells:
        return _("no figure: too few nights at comparable sets")
    if said.ratio is None:
        return _("no figure: nobody else has enough nights to compare with")
    values = {
        "n": f"{one.observed:.0f}", "e": f"{one.expected:.1f}", "ratio": f"{said.ratio.ratio:.2f}",
        "low": f"{said.ratio.lower:.2f}", "high": f"{said.ratio.upper:.2f}",
    }  # fmt: skip
    if said.ratio.lower <= 1 <= said.ratio.upper:
        return (
            _(
                "%(n)s looks with a target where %(e)s were to be expected: these checks cannot "
                "tell them from the team (%(low)s to %(high)s times)"
            )
            % values
        )
    words = _(
        "%(n)s looks with a target where %(e)s were to be expected: %(ratio)s times the team’s "
        "(%(low)s to %(high)s)"
    )
    return words % values
