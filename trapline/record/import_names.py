"""What a file of sets calls things, looked up in the team."""

from collections import defaultdict
from collections.abc import Iterable
from uuid import UUID

from trapline.gear.models import Device
from trapline.ground.errors import Problem
from trapline.lines.formats.draft import Draft
from trapline.lines.models import Line
from trapline.people.models import Licence, Membership
from trapline.rulebook.models import Species
from trapline.standing.selectors import ready_devices


class Names:
    """Names, numbers, marks and codes of the team in force. Five statements, six with a kind.

    Case and spaces at the ends do not matter. A name that more than one thing has is not plain.
    """

    def __init__(self, team: UUID, drafts: Iterable[Draft], kind: UUID | None) -> None:
        marks = {text for draft in drafts if (text := draft.words.get("device"))}
        self._known = {
            "line": _by_name(Line.objects.values_list("name", "id")),
            "licence": _by_name(Licence.objects.values_list("number", "id")),
            "responsible": _by_name(
                Membership.objects.filter(ended_at=None).values_list("name", "id")
            ),
            "device": _by_name(Device.objects.filter(mark__in=marks).values_list("mark", "id")),
            "targets": _by_name(
                pair
                for code, name, key in Species.objects.values_list("code", "name", "id")
                for pair in {(code, key), (name, key)}
            ),
        }
        self._free = [] if kind is None else _free(team, kind, self._known["device"])

    def find(self, field: str, text: str) -> UUID | Problem:
        """The one thing that is called so, or what is wrong."""
        found = self._known[field].get(text.strip().casefold(), set())
        if len(found) == 1:
            return next(iter(found))
        if found:
            return Problem(field, "row_name_not_plain", {"text": text[:60]})
        return Problem(field, "row_unknown_name", {"text": text[:60]})

    def next_free(self) -> UUID | None:
        """The next device of the kind that is ready and that no row names."""
        return self._free.pop(0) if self._free else None


def _by_name(pairs: Iterable[tuple[str, UUID]]) -> dict[str, set[UUID]]:
    found: dict[str, set[UUID]] = defaultdict(set)
    for name, key in pairs:
        found[name.strip().casefold()].add(key)
    return found


def _free(team: UUID, kind: UUID, named: dict[str, set[UUID]]) -> list[UUID]:
    taken = set().union(*named.values())
    return [key for key in ready_devices(team, kind) if key not in taken]
