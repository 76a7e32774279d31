"""`manage.py demo`: an invented team in an invented place, in the middle of its season."""

import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from trapline.demo import cast
from trapline.demo.load import OtherTeamsHereError, load
from trapline.demo.practice import practice
from trapline.demo.story.tell import tell
from trapline.demo.terrain.build import build
from trapline.demo.terrain.draw.store import ZOOMS
from trapline.demo.terrain.draw.tiles import render_tiles
from trapline.demo.terrain.model import Terrain
from trapline.ground import clock
from trapline.ground.scope import team_scope
from trapline.lines.models import Waiting
from trapline.people.models import Team

SEED = 11  # a season with storms, snares that caught, and an eagle


class Command(BaseCommand):
    help = "Load the invented team into an empty database, or tell how to sign in to it."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--seed", type=int, default=SEED, help="another valley, another season")
        parser.add_argument("--small", action="store_true", help="one line, eight sets, two weeks")
        parser.add_argument(
            "--sign-ins", action="store_true", help="only say by which names one signs in"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if options["sign_ins"]:
            self._sign_ins()
            return
        if options["seed"] < 0:
            raise CommandError("--seed: a whole number from 0 on is needed.")
        if Team.objects.exists():
            raise CommandError(
                "There is a team in this database already, so the demo was not loaded. It goes "
                "into an empty one only; make demo keeps one of its own."
            )
        with self._step("raising the valley"):
            terrain = build(options["seed"])
        self._map(terrain, small=options["small"])
        story = tell(terrain, options["seed"], clock.now(), small=options["small"])
        with self._step(f"living through {len(story.deeds)} acts of the season"):
            try:
                loaded = load(story, lambda text: self.stdout.write(f"  {text}"))
            except OtherTeamsHereError:
                raise CommandError(
                    "Another team came in meanwhile; nothing more was loaded."
                ) from None
        with self._step("laying out the practice ground"):
            practice(Team.objects.get(slug=cast.SLUG), story.season.now)
        self.stdout.write(f"{cast.TEAM} is there, with {loaded.deeds} acts.")

    def _map(self, terrain: Terrain, *, small: bool) -> None:
        folder = Path(settings.MEDIA_ROOT) / "tiles"
        zooms = ZOOMS[:3] if small else ZOOMS
        with self._step("drawing the map"):
            render_tiles(terrain, folder, zooms)

    def _sign_ins(self) -> None:
        if not Team.objects.filter(slug=cast.SLUG).exists():
            raise CommandError("The demo is not loaded here. Load it with manage.py demo.")
        student = cast.BY_KEY[self._who_waits()]
        people = (cast.PEOPLE[0], cast.BY_KEY[student.instructor or "ivo"], student)
        self.stdout.write("Sign in as (all invented; the phrase is the same for everybody):")
        for person in people:
            said = "student" if person.role == "member" else person.role
            self.stdout.write(f"  {person.key:8} {cast.PASSPHRASE}   {said}, {person.name}")

    def _who_waits(self) -> str:
        """The student who found the animal that the story ends with."""
        with team_scope(Team.objects.get(slug=cast.SLUG)):
            names = Waiting.objects.order_by("-at").values_list(
                "by__person__sign_in_name", flat=True
            )
            return str(names.first())

    @contextmanager
    def _step(self, words: str) -> Iterator[None]:
        self.stdout.write(f"- {words} ...")
        begun = time.monotonic()
        yield
        self.stdout.write(f"  {time.monotonic() - begun:.0f} s")
