from django.db import migrations

# Sets that stood before findings were kept are looked at by the next sweep.
LOOK = """
INSERT INTO findings_look (id, team_id, set_id, stamp, looked_at, next_at)
SELECT s.set_id, s.team_id, s.set_id, 0, s.placed_at, s.placed_at
FROM standing_setstate s WHERE s.active
"""


class Migration(migrations.Migration):
    dependencies = [("standing", "0002_walls"), ("findings", "0002_walls")]
    operations = [migrations.RunSQL(LOOK, migrations.RunSQL.noop)]
