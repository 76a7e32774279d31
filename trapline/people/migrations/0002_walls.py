from django.db import migrations

from trapline.ground.walls import TeamWalls


class Migration(migrations.Migration):
    dependencies = [("people", "0001_initial")]
    operations = [
        TeamWalls(
            "Membership",
            "Licence",
            "Skill",
            "SignOff",
            "Papers",
        ),
    ]
