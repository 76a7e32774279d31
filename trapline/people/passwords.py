"""The one-time link by which a person sets a password. No act and no page ever knows a password."""

from dataclasses import dataclass
from uuid import UUID

from django.contrib.auth.tokens import default_token_generator
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode
from django.utils.translation import gettext as _
from knox.models import AuthToken

from trapline.ground.errors import NeedsReview, NotYours
from trapline.people.models import Membership, Person
from trapline.people.rights import Actor


@dataclass(frozen=True)
class PasswordLink:
    """What the address of Django's PasswordResetConfirmView is made of."""

    uidb64: str
    token: str


def password_link(manager: Actor, member: UUID) -> PasswordLink:
    """A link for a member who has no password yet or has forgotten it. Two statements.

    Good once, and for PASSWORD_RESET_TIMEOUT. Only a manager of the team that the person has been
    in longest may give it: whoever takes somebody else's person into a team of their own must not
    get into the others. Raises NotYours, or NeedsReview with password_not_yours.
    """
    if not manager.manages:
        raise NotYours
    found = (
        Membership.objects.filter(id=member, ended_at=None, person__is_active=True)
        .select_related("person")
        .first()
    )
    if found is None or found.person is None:
        raise NotYours
    person = found.person
    longest = Membership._base_manager.filter(person_id=person.id, ended_at=None)
    if longest.order_by("since", "id").values_list("id", flat=True).first() != found.id:
        raise NeedsReview("member", "password_not_yours")
    return PasswordLink(
        urlsafe_base64_encode(force_bytes(person.pk)), default_token_generator.make_token(person)
    )


class TokensEnd:
    """With a new password the person's tokens hold no longer, whichever way it was changed.

    A password validator of Django's: it is told of each password once it is kept, by a page, a
    link or a command, and never of a hash that was only made anew.
    """

    def validate(self, password: str, user: Person | None = None) -> None:
        """Every password will do."""

    def password_changed(self, password: str, user: Person | None = None) -> None:
        if user is not None:
            AuthToken.objects.filter(user_id=user.pk).delete()

    def get_help_text(self) -> str:
        return _("With a new password, phones and programs that use a token must sign in again.")
