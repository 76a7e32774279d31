from django.db import migrations

from trapline.ground.walls import TeamWalls


class Migration(migrations.Migration):
    dependencies = [("lines", "0002_walls"), ("standing", "0001_initial")]
    operations = [
        TeamWalls(
            "SetState",
            "SetPeriod",
            "Interval",
            "PartStay",
        ),
    ]
