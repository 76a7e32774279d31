from django.db import migrations

from trapline.ground.walls import TeamWalls

# A pulled set with an open check duty cannot be: the duty's key holds the set's state at TRUE.
PULLED_HAS_NONE = """
ALTER TABLE duties_duty ADD CONSTRAINT duties_duty_pulled_set_has_none
    FOREIGN KEY (set_id, on_active) REFERENCES standing_setstate (set_id, active)
    DEFERRABLE INITIALLY DEFERRED
"""


class Migration(migrations.Migration):
    dependencies = [("standing", "0002_walls"), ("duties", "0001_initial")]
    operations = [
        TeamWalls(
            "Duty",
            "Transition",
            "Notice",
        ),
        migrations.RunSQL(PULLED_HAS_NONE, migrations.RunSQL.noop),
    ]
