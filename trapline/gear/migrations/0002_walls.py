from django.db import migrations

from trapline.ground.walls import AppendOnly, TeamWalls


class Migration(migrations.Migration):
    dependencies = [("journal", "0002_walls"), ("gear", "0001_initial")]
    operations = [
        TeamWalls(
            "PartKind",
            "DeviceKind",
            "KindPart",
            "Device",
            "Part",
            "PartFact",
        ),
        AppendOnly(
            "Device",
            "Part",
            "PartFact",
        ),
    ]
