-- Loose parts in stock, on no list, of the roles that a catch spends in some kinds of device, the
-- longest there first; and in which kinds of device such a kind of part stands now.
SELECT p.id, p.kind_id, k.name, k.role, p.mark, f.place,
       ARRAY(SELECT DISTINCT d.kind_id
             FROM gear_part o JOIN standing_partstay b ON b.part_id = o.id AND upper_inf(b.during)
             JOIN gear_device d ON d.id = b.device_id
             WHERE o.kind_id = p.kind_id)
FROM standing_partstay y
JOIN gear_part p ON p.id = y.part_id
JOIN gear_partkind k ON k.id = p.kind_id
JOIN gear_partfact f ON f.id = y.id
WHERE y.team_id = %(team)s AND upper_inf(y.during) AND y.state = 'stock'
  AND k.role IN (SELECT n.role FROM gear_kindpart n
                 WHERE n.kind_id = ANY (%(kinds)s) AND n.after_catch = 'spent')
  AND NOT EXISTS (SELECT FROM reserved_gear(%(team)s) r WHERE r.part_id = p.id)
ORDER BY lower(y.during), p.id
LIMIT 2000
