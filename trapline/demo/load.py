"""Loads the demo: the story's deeds through the desk, the machine's steps between them."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import groupby
from typing import Any
from uuid import UUID

from django.conf import settings
from django.contrib.auth.hashers import make_password
from django.db import transaction

from trapline.demo import cast
from trapline.demo.story.deeds import Deed, Ref
from trapline.demo.story.tell import Story
from trapline.ground.errors import LinewardError
from trapline.ground.scope import team_scope
from trapline.journal.team_settings import NumberToCall, put_numbers_to_call
from trapline.people.models import Membership, Person, Skill, Team
from trapline.people.rights import Actor, actor_of
from trapline.record.beginning import begin_team
from trapline.record.desk import submit
from trapline.rulebook.models import Species
from trapline.watch.deliver import deliver
from trapline.watch.look import look_over
from trapline.watch.sweep import sweep

SWEEP_HOURS = (7, 11, 15, 20)
MAILS_KEPT = timedelta(days=3)  # notices of the last days are written out as mails
NO_MAIL = "django.core.mail.backends.dummy.EmailBackend"
Say = Callable[[str], None]


@dataclass(frozen=True)
class Loaded:
    """What went in."""

    team: UUID
    deeds: int
    notices: int


class OtherTeamsHereError(LinewardError):
    """The demo is loaded only where there is nobody yet."""


class DeedFailedError(LinewardError):
    """An act of the story was not applied: the story or the house is wrong."""


def load(story: Story, say: Say = lambda _: None) -> Loaded:
    """Put the story into an empty database. Each of its days is one transaction."""
    if Team.objects.exists():
        raise OtherTeamsHereError
    manager = begin_team(
        team_name=cast.TEAM, slug=cast.SLUG, name=cast.PEOPLE[0].name,
        sign_in_name=cast.PEOPLE[0].key, password=cast.PASSPHRASE, moment=story.begins,
        email=f"{cast.PEOPLE[0].key}@quillback.example",
    )  # fmt: skip
    teller = Teller(story, manager)
    told = 0
    for day, steps in groupby(_steps(story), key=lambda step: story.season.day_of(step[0])):
        with transaction.atomic():
            for moment, deed in steps:
                if deed is None:
                    told += teller.machine(moment)
                else:
                    teller.do(deed)
        if day % 7 == 0 and day >= story.season.first_day:
            say(f"day {day + 1} of {story.season.today + 1}")
    _finish(manager)
    return Loaded(manager.team, len(story.deeds), told)


def _steps(story: Story) -> Iterator[tuple[datetime, Deed | None]]:
    """Deeds as they came in, and between them the moments at which the machine looks."""
    season = story.season
    looks = [
        season.at(day, hour * 60)
        for day in range(season.first_day, season.today + 1)
        for hour in SWEEP_HOURS
    ]
    moments = [moment for moment in looks if moment < season.now] + [season.now]
    steps: list[tuple[datetime, Deed | None]] = [(deed.received_at, deed) for deed in story.deeds]
    steps += [(moment, None) for moment in moments]
    return iter(sorted(steps, key=lambda step: step[0]))


class Teller:
    """Does the deeds, each as its own actor, with the ids of this database."""

    def __init__(self, story: Story, manager: Actor) -> None:
        self._story = story
        self._team = manager.team
        self._actors = {cast.PEOPLE[0].key: manager}
        self._known: dict[Ref, UUID] = {
            **story.ids, Ref("member", cast.PEOPLE[0].key): manager.member
        }  # fmt: skip

    def do(self, deed: Deed) -> None:
        body = {name: self._with_ids(value) for name, value in deed.body.items()}
        try:
            submit(self._actor(deed.by), deed.kind, body, at=deed.at, now=deed.received_at)
        except LinewardError as error:
            raise DeedFailedError(f"{deed.kind} by {deed.by} at {deed.at}: {error}") from error

    def machine(self, moment: datetime) -> int:
        """The sweep and the look, then the mails owed; those of long ago are not kept."""
        sweep(moment)
        look_over(moment)
        recent = moment > self._story.season.now - MAILS_KEPT
        with mail_by(None if recent and settings.EMAIL_FILE_PATH else NO_MAIL):
            return deliver(moment)

    def _actor(self, key: str) -> Actor:
        if key not in self._actors:
            self._actors[key] = actor_of(self._team, self._known[Ref("member", key)])
        return self._actors[key]

    def _with_ids(self, value: Any) -> Any:
        if isinstance(value, Ref):
            return self._id(value)
        if isinstance(value, dict):
            return {name: self._with_ids(inner) for name, inner in value.items()}
        if isinstance(value, list):
            return [self._with_ids(inner) for inner in value]
        return value

    def _id(self, ref: Ref) -> UUID:
        if ref not in self._known:
            with team_scope(self._team):
                model: Any = {"species": Species, "skill": Skill}[ref.noun]
                for code, key in model.objects.values_list("code", "id"):
                    self._known[Ref(ref.noun, code)] = key
        return self._known[ref]


@contextmanager
def mail_by(backend: str | None) -> Iterator[None]:
    """Mails go through this backend for a while; None leaves the one that is set."""
    usual = settings.EMAIL_BACKEND
    settings.EMAIL_BACKEND = backend or usual
    try:
        yield
    finally:
        settings.EMAIL_BACKEND = usual


def _finish(manager: Actor) -> None:
    """What is no part of the record: passwords and the numbers to call."""
    with transaction.atomic(), team_scope(manager.team):
        people = Membership.objects.values_list("person_id", flat=True)
        # One hash for all: the phrase is printed on every start of the demo.
        Person.objects.filter(id__in=list(people)).update(password=make_password(cast.PASSPHRASE))
        put_numbers_to_call(manager.team, [NumberToCall(who, number) for who, number in cast.CALLS])
