"""Print the format of rulebooks as a JSON Schema, as docs/rulebook.schema.json keeps it."""

import json
from typing import Any

from django.core.management.base import BaseCommand

from trapline.rulebook.schema import schema_json


class Command(BaseCommand):
    help = "Print the JSON Schema (2020-12) of a rulebook."

    def handle(self, *args: Any, **options: Any) -> None:
        self.stdout.write(json.dumps(schema_json(), indent=1, ensure_ascii=False))
