"""What the acts about kept animals share: the animals they name, one act of a team at a time."""

from collections.abc import Sequence
from uuid import UUID

from trapline.ground.errors import Held, NeedsReview
from trapline.kept.selectors import KeptAnimal, kept_animals
from trapline.people.models import Team
from trapline.record.acting import Desk


def taken_animals(desk: Desk, animals: Sequence[UUID], field: str) -> list[KeptAnimal]:
    """The animals that an act names, in its order, none of which was let go. Two statements.

    A member names those they caught or whose licence they hold. What is written of an animal rests
    on what was written of it before, so such acts of a team wait for one another.
    """
    Team.objects.select_for_update(no_key=True).get(id=desk.team)
    own = None if desk.actor.leads or desk.overruled else desk.actor.member
    there = {
        one.animal: one
        for one in kept_animals(desk.team, own, animals=list(animals), most=len(animals) + 1)
    }
    for number, animal in enumerate(animals):
        where = f"{field}.{number}" if field.endswith("s") else field
        if animal not in there:
            raise Held(where, animal)
        one = there[animal]
        if not one.taken:
            raise NeedsReview(where, "animal_not_taken", number=one.number)
        if desk.at < one.at:
            raise NeedsReview("at", "before_the_catch", number=one.number)
    return [there[animal] for animal in animals]
