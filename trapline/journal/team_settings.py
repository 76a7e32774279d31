"""A team's own choices, by name. They are no part of the record and may be changed."""

from dataclasses import dataclass
from typing import Any
from uuid import UUID

from trapline.journal.models import Setting

NUMBERS_TO_CALL = "numbers-to-call"


@dataclass(frozen=True)
class NumberToCall:
    """Whom to call when an animal waits, and at what number."""

    who: str
    number: str

    @property
    def dialled(self) -> str:
        """The number as a telephone takes it: digits, and a plus in front."""
        return "".join(sign for sign in self.number if sign.isdigit() or sign == "+")


def setting(team: UUID, name: str, default: Any = None) -> Any:
    """The team's value of a setting, or the default. One statement."""
    found = Setting.objects.filter(team_id=team, name=name).values_list("value", flat=True).first()
    return default if found is None else found


def put_setting(team: UUID, name: str, value: Any) -> None:
    """Keep a team's value of a setting."""
    Setting.objects.update_or_create(team_id=team, name=name, defaults={"value": value})


def numbers_to_call(team: UUID) -> list[NumberToCall]:
    """The numbers that stand beside an alarm, in the team's order. One statement."""
    return [NumberToCall(**one) for one in setting(team, NUMBERS_TO_CALL, [])]


def put_numbers_to_call(team: UUID, numbers: list[NumberToCall]) -> None:
    """Keep the numbers that stand beside an alarm."""
    put_setting(team, NUMBERS_TO_CALL, [{"who": one.who, "number": one.number} for one in numbers])
