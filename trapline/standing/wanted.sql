-- What one pick list asked for, kind by kind, and how many devices of each it found.
SELECT w.kind_id, k.name, w.devices, w.spare_kits,
       (SELECT count(*) FROM gear_picked p JOIN gear_device d ON d.id = p.device_id
        WHERE p.pick_id = w.pick_id AND d.kind_id = w.kind_id)
FROM gear_pickwanted w JOIN gear_devicekind k ON k.id = w.kind_id
WHERE w.team_id = %(team)s AND w.pick_id = %(pick)s
ORDER BY k.name
