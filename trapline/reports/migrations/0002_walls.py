from django.db import migrations

from trapline.ground.walls import AppendOnly, TeamWalls


class Migration(migrations.Migration):
    dependencies = [
        ("journal", "0002_walls"),
        ("people", "0002_walls"),
        ("reports", "0001_initial"),
    ]
    operations = [
        TeamWalls("FormTaken", "Filing", "Run"),
        AppendOnly("FormTaken", "Filing"),
    ]
