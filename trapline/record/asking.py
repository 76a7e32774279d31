"""What an act's catches are asked for: reports to make, pelts to seal, samples."""

from collections.abc import Mapping, Sequence
from functools import lru_cache
from uuid import UUID

from trapline.binding.asks import OF_CATCH, Caught, of_catch
from trapline.binding.matters import version_rules
from trapline.binding.profiles import Profile
from trapline.binding.world import World, version_at
from trapline.duties.asked import bring_in_line
from trapline.lines.models import Catch, Check
from trapline.lines.words import Fate
from trapline.record.acting import Desk
from trapline.record.at_hand import SetAtHand
from trapline.rulebook.models import Species


def ask_of_catches(
    desk: Desk,
    hand: SetAtHand,
    catches: Sequence[Catch],
    version: UUID | None,
    *,
    carried: Mapping[UUID, UUID | None] | None = None,
) -> None:
    """Open the duties of these catches; hand on those of catches that were corrected.

    One statement if anything is asked, two more the first time a version is seen.
    """
    if version is None:
        return
    rules = version_rules(version)
    wanted = [
        one
        for catch in catches
        if rules.of(*OF_CATCH)
        for one in of_catch(rules, _caught(desk, hand, catch, version))
    ]
    if wanted or carried:
        bring_in_line(
            desk.team, wanted, desk.received_at,
            catches=[catch.id for catch in catches], carried=carried,
        )  # fmt: skip


def handed_on(corrected: Check, catches: Sequence[Catch]) -> dict[UUID, UUID | None]:
    """The catches of a check that is now corrected, each with the one of the same animal."""
    now = {catch.animal: catch.id for catch in catches}
    old = Catch.objects.filter(check_made_id=corrected.id).values_list("id", "animal")
    return {key: now.get(animal) for key, animal in old}


def rules_now(desk: Desk) -> UUID | None:
    """The version in force when the act came in. One statement."""
    return version_at(desk.team, World(desk.received_at))


def _caught(desk: Desk, hand: SetAtHand, catch: Catch, version: UUID) -> Caught:
    profile = Profile(
        hand.device_class, hand.action, hand.placement, frozenset(hand.zone_codes),
        hand.licence_kind, (), hand.tz,
    )  # fmt: skip
    codes = _codes(desk.team, version)
    code = codes.get(catch.species_id) or Species.objects.values_list("code", flat=True).get(
        id=catch.species_id
    )
    marked = {what for what, number in (("seal", catch.seal), ("tag", catch.site_tag)) if number}
    kept = catch.fate in (Fate.DISPATCHED, Fate.DEAD)
    return Caught(
        catch.id, desk.at, profile, code, catch.is_target, kept, frozenset(marked), hand.line,
        desk.actor.member,
    )  # fmt: skip


@lru_cache(maxsize=64)
def _codes(team: UUID, version: UUID) -> dict[UUID, str]:
    """Species' codes, which never change; read once a version."""
    return dict(Species.objects.filter(team_id=team).values_list("id", "code"))
