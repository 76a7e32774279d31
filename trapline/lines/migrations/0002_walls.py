from django.db import migrations

from trapline.ground.walls import AppendOnly, TeamWalls


class Migration(migrations.Migration):
    dependencies = [
        ("land", "0002_walls"),
        ("rulebook", "0002_walls"),
        ("gear", "0002_walls"),
        ("lines", "0001_initial"),
    ]
    operations = [
        TeamWalls(
            "Line",
            "Set",
            "Target",
            "Check",
            "Arrangement",
            "Ending",
            "Catch",
            "Waiting",
            "WaitingEnd",
            "Series",
            "NumberSpent",
            "Reading",
        ),
        AppendOnly(
            "Set",
            "Target",
            "Check",
            "Arrangement",
            "Ending",
            "Catch",
            "Waiting",
            "WaitingEnd",
            "Series",
            "NumberSpent",
            "Reading",
        ),
    ]
