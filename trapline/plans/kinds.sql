-- Device kinds as they may be carried, and what they caught: one row a kind. Parts that a catch
-- spends are its kit; prices and masses of parts are those entered for what the team has of them.
WITH free AS (
    SELECT r.kind_id, count(*) AS n FROM ready_devices(%(team)s) r GROUP BY r.kind_id
), bought AS (
    SELECT r.role, avg(r.mass_kg) AS mass, avg(r.price) AS price,
           sum((SELECT count(*) FROM gear_part p JOIN standing_partstay y ON y.part_id = p.id
                WHERE p.kind_id = r.id AND upper_inf(y.during) AND y.state = 'stock'
                  AND p.id NOT IN (SELECT part_id FROM reserved_gear(%(team)s)
                                   WHERE part_id IS NOT NULL))) AS stock
    FROM gear_partkind r WHERE r.team_id = %(team)s GROUP BY r.role
), built AS (
    SELECT n.kind_id,
           sum(n.count * b.price) AS price,
           sum(n.count * b.mass) FILTER (WHERE n.after_catch = 'spent') AS kit_mass,
           sum(n.count * b.price) FILTER (WHERE n.after_catch = 'spent') AS kit_price,
           min(b.stock / n.count) FILTER (WHERE n.after_catch = 'spent') AS kits,
           count(*) FILTER (WHERE n.after_catch = 'spent') AS spent
    FROM gear_kindpart n LEFT JOIN bought b ON b.role = n.role
    WHERE n.team_id = %(team)s GROUP BY n.kind_id
), looked AS (
    SELECT i.device_kind_id AS kind_id, sum(i.nights) AS nights,
           sum(i.nights) FILTER (WHERE i.found IN ('animal', 'sprung_empty')) AS disturbed,
           count(*) FILTER (WHERE i.found = 'sprung_empty') AS sprung,
           count(*) AS looks, count(*) FILTER (WHERE i.found = 'buried') AS buried
    FROM standing_interval i WHERE i.team_id = %(team)s GROUP BY i.device_kind_id
), failed AS (
    SELECT DISTINCT ON (d.kind_id) d.kind_id, r.role
    FROM gear_partfact f
    JOIN gear_partfact b ON b.part_id = f.part_id AND b.state = 'built_in' AND b.at < f.at
    JOIN gear_device d ON d.id = b.device_id
    JOIN gear_part p ON p.id = f.part_id
    JOIN gear_partkind r ON r.id = p.kind_id
    WHERE f.team_id = %(team)s AND f.state = 'broken'
    GROUP BY d.kind_id, r.role
    ORDER BY d.kind_id, count(DISTINCT f.part_id) DESC, r.role
)
SELECT k.id, k.name, k.device_class, k.action, k.mass_kg, k.volume_m3, k.jaw_spread_m,
       coalesce(f.n, 0), b.price::float, coalesce(b.spent, 0) > 0, b.kit_mass::float,
       b.kit_price::float, coalesce(b.kits, 0)::integer, coalesce(l.nights, 0)::float,
       coalesce(l.disturbed, 0)::float, coalesce(l.sprung, 0), coalesce(l.looks, 0),
       coalesce(l.buried, 0), coalesce(x.role, '')
FROM gear_devicekind k
LEFT JOIN free f ON f.kind_id = k.id
LEFT JOIN built b ON b.kind_id = k.id
LEFT JOIN looked l ON l.kind_id = k.id
LEFT JOIN failed x ON x.kind_id = k.id
WHERE k.team_id = %(team)s
ORDER BY k.name
