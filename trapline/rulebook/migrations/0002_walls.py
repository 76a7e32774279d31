from django.db import migrations

from trapline.ground.walls import AppendOnly, TeamWalls


class Migration(migrations.Migration):
    dependencies = [("journal", "0002_walls"), ("rulebook", "0001_initial")]
    operations = [
        TeamWalls(
            "Authority",
            "Species",
            "Version",
            "Rule",
        ),
        AppendOnly(
            "Version",
            "Rule",
        ),
    ]
