-- Devices with where they stand, the parts in them, and the needed ones they lack.
WITH built AS (
    SELECT y.device_id, k.role, count(*) AS parts
    FROM standing_partstay y
    JOIN gear_part p ON p.id = y.part_id
    JOIN gear_partkind k ON k.id = p.kind_id
    WHERE y.team_id = %(team)s AND y.device_id IS NOT NULL AND upper_inf(y.during)
    GROUP BY y.device_id, k.role
)
SELECT count(*) OVER (), d.id, d.mark, k.name, k.device_class,
       CASE WHEN %(member)s::uuid IS NULL OR s.responsible_id = %(member)s THEN s.set_id END,
       CASE WHEN %(member)s::uuid IS NULL OR s.responsible_id = %(member)s
            THEN coalesce(t.label, '') ELSE '' END,
       CASE WHEN %(member)s::uuid IS NULL OR s.responsible_id = %(member)s
            THEN coalesce(l.name, '') ELSE '' END,
       ARRAY(SELECT b.role FROM built b WHERE b.device_id = d.id ORDER BY b.role),
       ARRAY(SELECT n.role FROM gear_kindpart n LEFT JOIN built b
                 ON b.device_id = d.id AND b.role = n.role
             WHERE n.kind_id = k.id AND n.needed AND coalesce(b.parts, 0) < n.count
             ORDER BY n.role),
       coalesce(i.name, ''), r.pick_id, coalesce(g.how, 'store'), coalesce(w.name, ''),
       coalesce(g.place, '')
FROM gear_device d
JOIN gear_devicekind k ON k.id = d.kind_id
LEFT JOIN standing_setstate s ON s.device_id = d.id AND s.active
LEFT JOIN lines_set t ON t.id = s.set_id
LEFT JOIN lines_line l ON l.id = s.line_id
LEFT JOIN LATERAL (
    SELECT f.how, f.place, f.member_id FROM gear_devicefact f
    WHERE f.device_id = d.id ORDER BY f.at DESC, f.id DESC LIMIT 1
) g ON TRUE
LEFT JOIN people_membership w ON w.id = g.member_id
LEFT JOIN reserved_gear(%(team)s) r ON r.device_id = d.id
LEFT JOIN gear_pick i ON i.id = r.pick_id
WHERE d.team_id = %(team)s
ORDER BY k.name, d.mark
LIMIT %(most)s
