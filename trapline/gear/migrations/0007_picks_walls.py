from django.db import migrations

from trapline.ground.walls import AppendOnly, TeamWalls

MADE = ("Pick", "PickWanted", "Picked", "PickDrop")


class Migration(migrations.Migration):
    dependencies = [("people", "0002_walls"), ("gear", "0006_picks")]
    operations = [TeamWalls(*MADE), AppendOnly(*MADE)]
