"""How a team begins: its first manager, then what every team needs, by the manager's own acts."""

from datetime import datetime

from django.db import transaction

from trapline.duties.defaults import SKILLS, STAGES
from trapline.ground.errors import NeedsReview
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.people.models import Membership, Person, Role, Team
from trapline.people.rights import Actor, actor_of, make_team
from trapline.record.desk import submit


def begin_team(
    *,
    team_name: str,
    slug: str,
    name: str,
    sign_in_name: str,
    password: str,
    moment: datetime,
    email: str = "",
) -> Actor:
    """Make a team and its first manager, with the default skills and stages; all or nothing.

    Raises NeedsReview (address_taken, sign_in_name_taken, email_taken). The password is taken as
    it is: whoever asks for it has it validated.
    """
    with transaction.atomic():
        if Team.objects.filter(slug=slug).exists():
            raise NeedsReview("slug", "address_taken", slug=slug)
        if Person.objects.filter(sign_in_name__iexact=sign_in_name).exists():
            raise NeedsReview("sign_in_name", "sign_in_name_taken", name=sign_in_name)
        if email and Person.objects.filter(email__iexact=email).exists():
            raise NeedsReview("email", "email_taken", email=email)
        team = make_team(team_name, slug)
        person = Person.objects.create_user(sign_in_name, password, name=name, email=email)
        with team_scope(team):
            member = Membership.objects.create(
                team=team, person=person, role=Role.MANAGER, name=name
            )
        manager = actor_of(team.id, member.id)
        settle_defaults(manager, moment)
    return manager


def settle_defaults(manager: Actor, moment: datetime) -> None:
    """The skills and stages that every team begins with (duties/defaults.py), as acts."""
    for code, skill in SKILLS.items():
        body = {"skill": new_id(), "code": code, "name": skill}
        submit(manager, "name_skill", body, at=moment, now=moment)
    for kind, stages in STAGES.items():
        said = [
            {"offset_s": one.offset_s, "recipient": one.recipient, "channel": one.channel}
            for one in stages
        ]
        body = {"kind": kind, "stages": said}
        submit(manager, "set_notice_stages", body, at=moment, now=moment)
