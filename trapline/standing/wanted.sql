-- What one pick list asked for, kind by kind, and how many devices of each it has: those it keeps,
-- and those that have stood in a set since. One that was lost before is short again.
WITH kept AS (
    SELECT r.device_id FROM reserved_gear(%(team)s) r WHERE r.pick_id = %(pick)s
)
SELECT w.kind_id, k.name, w.devices, w.spare_kits,
       (SELECT count(*) FROM gear_picked p JOIN gear_device d ON d.id = p.device_id
        WHERE p.pick_id = w.pick_id AND d.kind_id = w.kind_id AND (
            p.device_id IN (SELECT device_id FROM kept)
            OR EXISTS (SELECT FROM standing_setperiod q WHERE q.device_id = p.device_id
                       AND q.during && tstzrange(p.at, NULL))))
FROM gear_pickwanted w JOIN gear_devicekind k ON k.id = w.kind_id
WHERE w.team_id = %(team)s AND w.pick_id = %(pick)s
ORDER BY k.name
