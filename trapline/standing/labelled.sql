-- Devices and parts that are not gone, for their labels.
SELECT count(*) OVER (), g.id, g.mark, g.kind, g.role
FROM (
    SELECT d.id, d.mark, k.name AS kind, '' AS role, d.kind_id
    FROM gear_device d JOIN gear_devicekind k ON k.id = d.kind_id
    WHERE d.team_id = %(team)s AND %(devices)s
      AND coalesce((SELECT f.how FROM gear_devicefact f WHERE f.device_id = d.id
                    ORDER BY f.at DESC, f.id DESC LIMIT 1), 'store') NOT IN ('lost', 'retired')
    UNION ALL
    SELECT p.id, p.mark, k.name, k.role, p.kind_id
    FROM gear_part p
    JOIN gear_partkind k ON k.id = p.kind_id
    JOIN standing_partstay y ON y.part_id = p.id AND upper_inf(y.during)
    WHERE p.team_id = %(team)s AND %(parts)s AND y.state IN ('built_in', 'stock', 'inspect')
      AND (p.mark <> '' OR NOT %(marked)s)
) g
WHERE (%(kind)s::uuid IS NULL OR g.kind_id = %(kind)s)
  AND (%(one)s::uuid IS NULL OR g.id = %(one)s)
ORDER BY g.role, g.kind, g.mark, g.id
LIMIT %(most)s
