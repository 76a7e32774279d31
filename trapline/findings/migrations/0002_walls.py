from django.db import migrations

from trapline.ground.walls import TeamWalls


class Migration(migrations.Migration):
    dependencies = [("findings", "0001_initial")]
    operations = [TeamWalls("Finding", "Look", "Fit")]
