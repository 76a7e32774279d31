from django.db import migrations

from trapline.ground.walls import AppendOnly, TeamWalls


class Migration(migrations.Migration):
    dependencies = [("people", "0002_walls"), ("journal", "0001_initial")]
    operations = [
        TeamWalls(
            "Act",
        ),
        AppendOnly(
            "Act",
            may_update={"Act": ["state", "reason", "waits_for", "settled_at", "settled_by_id"]},
        ),
    ]
