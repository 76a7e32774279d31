from django.db import migrations

from trapline.ground.walls import TeamWalls


class Migration(migrations.Migration):
    dependencies = [("people", "0002_walls"), ("land", "0001_initial")]
    operations = [
        TeamWalls(
            "Zone",
            "Feature",
            "Permission",
        ),
    ]
