"""What pick lists keep, and what may be taken by another: asked by several reads of gear."""

from django.db import migrations

# A device is kept until it stands in a set, or is written off; a part until it leaves the stock.
RESERVED = """
CREATE FUNCTION reserved_gear(of_team uuid)
    RETURNS TABLE (pick_id uuid, device_id uuid, part_id uuid)
    LANGUAGE sql STABLE AS $$
    SELECT p.pick_id, p.device_id, p.part_id
    FROM gear_picked p
    WHERE p.team_id = of_team
      AND NOT EXISTS (SELECT FROM gear_pickdrop d WHERE d.pick_id = p.pick_id)
      AND NOT EXISTS (
          SELECT FROM standing_setperiod q
          WHERE q.device_id = p.device_id AND q.during && tstzrange(p.at, NULL))
      AND NOT EXISTS (
          SELECT FROM gear_devicefact f
          WHERE f.device_id = p.device_id AND f.at >= p.at AND f.how IN ('lost', 'retired'))
      AND NOT EXISTS (
          SELECT FROM standing_partstay y
          WHERE y.part_id = p.part_id AND y.state <> 'stock'
            AND y.during && tstzrange(p.at, NULL))
$$;
"""

# In store, whole, in no set and on no pick list.
READY = """
CREATE FUNCTION ready_devices(of_team uuid)
    RETURNS TABLE (device_id uuid, kind_id uuid, mark text, place text)
    LANGUAGE sql STABLE AS $$
    SELECT d.id, d.kind_id, d.mark, coalesce(g.place, '')
    FROM gear_device d
    LEFT JOIN LATERAL (
        SELECT f.how, f.place FROM gear_devicefact f
        WHERE f.device_id = d.id ORDER BY f.at DESC, f.id DESC LIMIT 1
    ) g ON TRUE
    WHERE d.team_id = of_team AND coalesce(g.how, 'store') = 'store'
      AND NOT EXISTS (SELECT FROM standing_setstate s WHERE s.device_id = d.id AND s.active)
      AND NOT EXISTS (
          SELECT FROM gear_kindpart n
          WHERE n.kind_id = d.kind_id AND n.needed AND n.count > (
              SELECT count(*) FROM standing_partstay y
              JOIN gear_part p ON p.id = y.part_id JOIN gear_partkind k ON k.id = p.kind_id
              WHERE y.device_id = d.id AND upper_inf(y.during) AND k.role = n.role))
      AND d.id NOT IN (
          SELECT r.device_id FROM reserved_gear(of_team) r WHERE r.device_id IS NOT NULL)
$$;
"""


class Migration(migrations.Migration):
    dependencies = [("gear", "0007_picks_walls"), ("standing", "0002_walls")]
    operations = [
        migrations.RunSQL(RESERVED, "DROP FUNCTION reserved_gear(uuid)"),
        migrations.RunSQL(READY, "DROP FUNCTION ready_devices(uuid)"),
    ]
