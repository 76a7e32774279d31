"""Settling in: members, their licences, and what one can be signed off for.

Members, licences and skills are configuration, not facts: an act with the id of a row that is there
changes that row, and the book of acts keeps what each act said. No act carries a password.
"""

import unicodedata
from datetime import date
from typing import Annotated, Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from pydantic import AfterValidator, Field, StringConstraints

from trapline.binding.world import World
from trapline.duties.asked import ask_licences
from trapline.ground.errors import Held, NeedsReview
from trapline.ground.wake import REDUE, wake
from trapline.lines.models import Set
from trapline.people.change import raise_rule_stamp
from trapline.people.models import Licence, Membership, Person, Role, Skill
from trapline.record.acting import Body, Desk, Kind
from trapline.record.after import look_again
from trapline.standing.models import SetState

Name = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=120)]
Code = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9_-]+$", max_length=50)]


def _one_spelling(value: str) -> str:
    return unicodedata.normalize("NFKC", value)


def _email(value: str) -> str:
    if value:
        try:
            validate_email(value)
        except ValidationError as error:
            raise ValueError(error.message) from None
    return value


SignInName = Annotated[
    str,
    StringConstraints(pattern=r"^[\w.@+-]+$", min_length=1, max_length=150),
    AfterValidator(_one_spelling),
]
Email = Annotated[str, Field(max_length=254), AfterValidator(_email)]


class EnrolMember(Body):
    """A person comes into the team; one who has no sign-in name here yet is made."""

    member: UUID
    name: Name
    sign_in_name: SignInName
    email: Email = ""
    role: Role
    instructor: UUID | None = None


def enrol(desk: Desk, body: EnrolMember) -> None:
    if not desk.actor.manages:
        raise NeedsReview("member", "only_managers", what="enrol_member")
    _instructs(body.member, body.instructor)
    there = Membership.objects.filter(id=body.member).select_related("person").first()
    if there is None:
        person = _person(desk, body)
        Membership.objects.create(
            id=body.member, team_id=desk.team, person=person, name=body.name, role=body.role,
            instructor_id=body.instructor,
        )  # fmt: skip
        return
    said = there.person.sign_in_name if there.person else ""
    if said.lower() != body.sign_in_name.lower():
        raise NeedsReview("sign_in_name", "member_is_another", name=there.name)
    _may_change(there, role=body.role, ended=there.ended_at is not None)
    Membership.objects.filter(id=there.id).update(
        name=body.name, role=body.role, instructor_id=body.instructor
    )


def _person(desk: Desk, body: EnrolMember) -> Person:
    """Whoever has this sign-in name, or a new person who cannot sign in until a password is set.

    What other teams' people are called is not told: an unknown name, a taken one, a closed one and
    one with another's e-mail address are taken alike. A closed person stays unable to sign in; an
    address that is another's is left out, and its person can set one. What cannot be hidden, since
    it would let a manager into another team: a link for a password is given for a new person only.
    """
    person = Person.objects.filter(sign_in_name__iexact=body.sign_in_name).first()
    if person is None:
        taken = bool(body.email) and Person.objects.filter(email__iexact=body.email).exists()
        email = "" if taken else body.email
        return Person.objects.create_user(body.sign_in_name, None, name=body.name, email=email)
    known = Membership.objects.filter(person_id=person.id).first()
    if known is not None:
        raise NeedsReview("sign_in_name", "member_already", name=known.name)
    return person


class ChangeMember(Body):
    """How a member stands in the team from now on, said whole."""

    member: UUID
    role: Role
    instructor: UUID | None = None
    ended: bool = False


def change(desk: Desk, body: ChangeMember) -> None:
    if not desk.actor.manages:
        raise NeedsReview("member", "only_managers", what="change_member")
    there = Membership.objects.filter(id=body.member).first()
    if there is None:
        raise Held("member", body.member)
    _instructs(body.member, body.instructor)
    _may_change(there, role=body.role, ended=body.ended)
    ended_at = (there.ended_at or desk.at) if body.ended else None
    Membership.objects.filter(id=there.id).update(
        role=body.role, instructor_id=body.instructor, ended_at=ended_at
    )
    if body.role != there.role:
        look_again(desk, responsible_id=body.member)


def _instructs(member: UUID, instructor: UUID | None) -> None:
    """Whoever answers for a member leads, is in office, and is somebody else."""
    if instructor is None:
        return
    found = Membership.objects.filter(id=instructor).first()
    if found is None:
        raise Held("instructor", instructor)
    if found.id == member or found.ended_at is not None or found.role == Role.MEMBER:
        raise NeedsReview("instructor", "instructor_must_lead", name=found.name)


def _may_change(there: Membership, *, role: str, ended: bool) -> None:
    """Nobody leaves a set, a student or the team without someone who answers for it."""
    managers = Membership.objects.select_for_update(no_key=True).filter(
        role=Role.MANAGER, ended_at=None
    )
    others = set(managers.values_list("id", flat=True)) - {there.id}
    if not others and not (role == Role.MANAGER and not ended):
        raise NeedsReview("ended" if ended else "role", "last_manager", name=there.name)
    if ended:
        sets = SetState.objects.filter(responsible_id=there.id, active=True).count()
        if sets:
            raise NeedsReview("ended", "still_responsible", name=there.name, sets=sets)
    if ended or role == Role.MEMBER:
        students = Membership.objects.filter(instructor_id=there.id, ended_at=None)
        if students.exists():
            names = list(students.order_by("name").values_list("name", flat=True))
            raise NeedsReview("ended" if ended else "role", "still_instructs", names=names)


class GiveLicence(Body):
    """A licence as its paper says. Its holder stays once a set bears it."""

    licence: UUID
    holder: UUID
    number: Name
    authority: Name
    kind: Annotated[str, StringConstraints(strip_whitespace=True, max_length=60)] = ""
    valid_from: date
    valid_until: date


def give_licence(desk: Desk, body: GiveLicence) -> None:
    if not desk.actor.leads:
        raise NeedsReview("licence", "only_leaders", what="give_licence")
    if body.valid_until < body.valid_from:
        raise NeedsReview("valid_until", "dates_out_of_order")
    if not Membership.objects.filter(id=body.holder).exists():
        raise Held("holder", body.holder)
    if Licence.objects.filter(number=body.number).exclude(id=body.licence).exists():
        raise NeedsReview("number", "licence_number_taken", number=body.number)
    there = Licence.objects.filter(id=body.licence).first()
    if there is not None and _moves(there, body.holder):
        raise NeedsReview("holder", "licence_in_use", number=there.number)
    _put(Licence, desk, body.licence, body.model_dump(exclude={"licence", "holder"}),
         holder_id=body.holder)  # fmt: skip
    if there is not None and there.kind != body.kind:
        # Rules may hold for some kinds of licence only; watch/ reckons the sets again.
        raise_rule_stamp(desk.team)
        wake(REDUE)
    elif there is not None:
        look_again(desk, set__licence_id=body.licence)
    ask_licences(desk.team, World(desk.received_at), [body.licence])


def _moves(there: Licence, holder: UUID) -> bool:
    """Whether a licence that sets bear would change hands: it never does."""
    return there.holder_id != holder and Set.objects.filter(licence_id=there.id).exists()


class NameSkill(Body):
    """What one can be signed off for. Its code stays: acts look for it."""

    skill: UUID
    code: Code
    name: Name


def name_skill(desk: Desk, body: NameSkill) -> None:
    if not desk.actor.leads:
        raise NeedsReview("skill", "only_leaders", what="name_skill")
    if Skill.objects.filter(code=body.code).exclude(id=body.skill).exists():
        raise NeedsReview("code", "code_taken", taken=body.code)
    if Skill.objects.filter(id=body.skill).exclude(code=body.code).exists():
        raise NeedsReview("code", "code_stays")
    _put(Skill, desk, body.skill, {"code": body.code, "name": body.name})


def _put(model: Any, desk: Desk, key: UUID, values: dict[str, Any], **links: UUID) -> None:
    model.objects.update_or_create(id=key, defaults={"team_id": desk.team, **values, **links})


KINDS = (
    Kind("enrol_member", {1: EnrolMember}, enrol),
    Kind("change_member", {1: ChangeMember}, change),
    Kind("give_licence", {1: GiveLicence}, give_licence),
    Kind("name_skill", {1: NameSkill}, name_skill),
)
