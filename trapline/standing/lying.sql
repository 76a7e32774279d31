-- What lies where: loose parts in stock and whole devices in store, a row a place and kind. A part
-- that a list keeps lies there too; a device lies where it was last said to.
SELECT coalesce(f.place, '') AS place, k.role, k.id, k.name,
       count(*) FILTER (WHERE y.state = 'stock'), count(*) FILTER (WHERE y.state = 'inspect')
FROM standing_partstay y
JOIN gear_part p ON p.id = y.part_id
JOIN gear_partkind k ON k.id = p.kind_id
JOIN gear_partfact f ON f.id = y.id
WHERE y.team_id = %(team)s AND upper_inf(y.during) AND y.state IN ('stock', 'inspect')
GROUP BY f.place, k.id
UNION ALL
SELECT coalesce(g.place, ''), '', k.id, k.name, count(*), 0
FROM gear_device d
JOIN gear_devicekind k ON k.id = d.kind_id
LEFT JOIN LATERAL (
    SELECT f.how, f.place FROM gear_devicefact f
    WHERE f.device_id = d.id ORDER BY f.at DESC, f.id DESC LIMIT 1
) g ON TRUE
WHERE d.team_id = %(team)s AND coalesce(g.how, 'store') = 'store'
  AND NOT EXISTS (SELECT FROM standing_setstate s WHERE s.device_id = d.id AND s.active)
GROUP BY g.place, k.id
ORDER BY 1, 2, 4
