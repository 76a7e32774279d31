from django.db import migrations

from trapline.ground.walls import AppendOnly, TeamWalls


class Migration(migrations.Migration):
    dependencies = [("people", "0002_walls"), ("gear", "0003_keeping")]
    operations = [
        TeamWalls("DeviceFact", "Tagging"),
        AppendOnly("DeviceFact", "Tagging"),
    ]
