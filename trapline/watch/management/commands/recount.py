"""`manage.py recount`: effort and catches counted again from the record, and what differs."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from trapline.watch.recount import recount, teams


class Command(BaseCommand):
    help = "Count effort and catches again from the record; say what is kept otherwise."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--mend", action="store_true", help="keep what was counted")

    def handle(self, *args: Any, **options: Any) -> None:
        differences = 0
        for team in teams():
            for found in recount(team, mend=options["mend"]):
                differences += len(found)
                for one in found:
                    self.stdout.write(
                        f"team {team}, set {one.set}, {one.what} {one.key}:"
                        f" kept {one.kept}, by the record {one.counted}"
                    )
        if differences and not options["mend"]:
            raise CommandError(f"{differences} rows differ; --mend keeps what was counted.")
        self.stdout.write(f"{differences} rows differed.")
