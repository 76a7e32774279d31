-- The parts that are in some devices now.
SELECT y.device_id, k.role, k.name, p.mark, y.state, lower(y.during), p.id, k.id,
       k.breaking_load_n
FROM standing_partstay y
JOIN gear_part p ON p.id = y.part_id
JOIN gear_partkind k ON k.id = p.kind_id
WHERE y.team_id = %(team)s AND y.device_id = ANY (%(devices)s) AND upper_inf(y.during)
ORDER BY y.device_id, k.role, p.mark, p.id
