"""Members, licences, skills and sign-offs."""

from typing import Any

from rest_framework.request import Request
from rest_framework.response import Response

from trapline.api.acting import act_schema, put_act, take_act
from trapline.api.base import List, One, TeamView
from trapline.api.filtering import Choice, Date, Filters, Id, Yes
from trapline.api.rules import ANYONE_IN_TEAM, LEADS, MANAGES
from trapline.api.shown import Shown
from trapline.people import lists
from trapline.people.models import Licence, Membership, Papers, Role, SignOff, Skill
from trapline.record.agent_papers import GivePaper
from trapline.record.papers import EndSignOff, GiveSignOff
from trapline.record.settling_people import ChangeMember, EnrolMember, GiveLicence, NameSkill


class MemberShown(Shown):
    class Meta:
        model = Membership
        fields = ("id", "name", "role", "instructor", "since", "ended_at")


class MemberFilter(Filters):
    role = Choice(choices=Role.choices)
    instructor = Id()
    ended = Yes(field_name="ended_at", lookup_expr="isnull", exclude=True)


class Members(List):
    """Who is or was in the team."""

    rules = {"GET": ANYONE_IN_TEAM, "POST": MANAGES}
    model, serializer_class, filterset_class = Membership, MemberShown, MemberFilter

    def rows(self) -> Any:
        return lists.members()

    @act_schema(EnrolMember, made="member")
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Let a person into the team. No call carries a password: a page sets the first one."""
        return take_act(self, "enrol_member", made="member", at_address="api:member")


class Member(One):
    """A member."""

    rules = {"GET": ANYONE_IN_TEAM, "PUT": MANAGES}
    model, serializer_class = Membership, MemberShown

    def rows(self) -> Any:
        return lists.members()

    @act_schema(ChangeMember, given=("member",))
    def put(self, request: Request, **kwargs: Any) -> Response:
        """How the member stands in the team from now on."""
        return put_act(self, "change_member", "member", "api:member")


class LicenceShown(Shown):
    class Meta:
        model = Licence
        fields = ("id", "holder", "number", "authority", "kind", "valid_from", "valid_until")


class LicenceFilter(Filters):
    holder = Id()
    valid_on = Date(method="on")

    def on(self, rows: Any, name: str, day: Any) -> Any:
        return rows.filter(valid_from__lte=day, valid_until__gte=day)


class Licences(List):
    """The licences that sets bear and animals count against."""

    rules = {"GET": ANYONE_IN_TEAM, "POST": LEADS}
    model, serializer_class, filterset_class = Licence, LicenceShown, LicenceFilter

    def rows(self) -> Any:
        return lists.licences()

    @act_schema(GiveLicence, made="licence")
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Enter a licence as its paper says."""
        return take_act(self, "give_licence", made="licence", at_address="api:licence")


class LicenceOne(One):
    """A licence."""

    rules = {"GET": ANYONE_IN_TEAM, "PUT": LEADS}
    model, serializer_class = Licence, LicenceShown

    def rows(self) -> Any:
        return lists.licences()

    @act_schema(GiveLicence, given=("licence",))
    def put(self, request: Request, **kwargs: Any) -> Response:
        """Say it anew. Its holder stays once a set bears it."""
        return put_act(self, "give_licence", "licence", "api:licence")


class PaperShown(Shown):
    class Meta:
        model = Papers
        fields = ("id", "licence", "agent", "may", "reference", "valid_from", "valid_until")


class PaperFilter(Filters):
    licence = Id()
    agent = Id()
    valid_on = Date(method="on")

    def on(self, rows: Any, name: str, day: Any) -> Any:
        return rows.filter(valid_from__lte=day, valid_until__gte=day)


class PapersList(List):
    """Papers that let somebody tend, kill, carry or tag under another's licence."""

    rules = {"GET": ANYONE_IN_TEAM, "POST": LEADS}
    model, serializer_class, filterset_class = Papers, PaperShown, PaperFilter

    def rows(self) -> Any:
        return lists.papers()

    @act_schema(GivePaper, made="paper")
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Enter a paper as it is written."""
        return take_act(self, "give_paper", made="paper", at_address="api:paper")


class PaperOne(One):
    """An agent's paper."""

    rules = {"GET": ANYONE_IN_TEAM, "PUT": LEADS}
    model, serializer_class = Papers, PaperShown

    def rows(self) -> Any:
        return lists.papers()

    @act_schema(GivePaper, given=("paper",))
    def put(self, request: Request, **kwargs: Any) -> Response:
        """Say it anew; an earlier last day ends it."""
        return put_act(self, "give_paper", "paper", "api:paper")


class SkillShown(Shown):
    class Meta:
        model = Skill
        fields = ("id", "code", "name")


class Skills(List):
    """What a member can be signed off for."""

    rules = {"GET": ANYONE_IN_TEAM, "POST": LEADS}
    model, serializer_class = Skill, SkillShown

    def rows(self) -> Any:
        return lists.skills()

    @act_schema(NameSkill, made="skill")
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Name a skill, or name one that is there otherwise. Its code stays."""
        return take_act(self, "name_skill", made="skill")


class SignOffShown(Shown):
    class Meta:
        model = SignOff
        fields = ("id", "member", "skill", "given_by", "given_at", "ended_at")


class SignOffFilter(Filters):
    member = Id()
    skill = Id()
    ended = Yes(field_name="ended_at", lookup_expr="isnull", exclude=True)


class SignOffs(List):
    """Who may do what alone; an instructor or a manager gives it."""

    rules = {"GET": ANYONE_IN_TEAM, "POST": LEADS}
    model, serializer_class, filterset_class = SignOff, SignOffShown, SignOffFilter

    def rows(self) -> Any:
        return lists.sign_offs()

    @act_schema(GiveSignOff)
    def post(self, request: Request, **kwargs: Any) -> Response:
        return take_act(self, "sign_off")


class SignOffEnd(TeamView):
    """From now on the member does it only under supervision."""

    rules = {"POST": LEADS}

    @act_schema(EndSignOff, given=("sign_off",))
    def post(self, request: Request, **kwargs: Any) -> Response:
        return take_act(self, "end_sign_off", given={"sign_off": kwargs["id"]})
