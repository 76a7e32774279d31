-- What one pick list names, where it lies by its newest fact, and whether the list still keeps it.
WITH kept AS (
    SELECT r.device_id, r.part_id FROM reserved_gear(%(team)s) r WHERE r.pick_id = %(pick)s
)
SELECT p.device_id, p.part_id, coalesce(dk.id, k.id), coalesce(dk.name, k.name),
       coalesce(k.role, ''), coalesce(d.mark, t.mark),
       coalesce(CASE WHEN p.device_id IS NULL
           THEN (SELECT f.place FROM gear_partfact f WHERE f.part_id = p.part_id
                 ORDER BY f.at DESC, f.id DESC LIMIT 1)
           ELSE (SELECT f.place FROM gear_devicefact f WHERE f.device_id = p.device_id
                 ORDER BY f.at DESC, f.id DESC LIMIT 1) END, ''),
       EXISTS (SELECT FROM kept WHERE kept.device_id = p.device_id OR kept.part_id = p.part_id),
       coalesce((SELECT l.label FROM standing_setstate s JOIN lines_set l ON l.id = s.set_id
                 WHERE s.device_id = p.device_id AND s.active), '')
FROM gear_picked p
LEFT JOIN gear_device d ON d.id = p.device_id
LEFT JOIN gear_devicekind dk ON dk.id = d.kind_id
LEFT JOIN gear_part t ON t.id = p.part_id
LEFT JOIN gear_partkind k ON k.id = t.kind_id
WHERE p.team_id = %(team)s AND p.pick_id = %(pick)s
ORDER BY p.device_id IS NULL, 7, 4, 6, p.id
