-- Device kinds as they may be carried, and what they caught: one row a kind. Parts that a catch
-- spends are its kit. A part is of the kinds that stood in such devices; where none ever did, of any
-- kind of its role, at their mean. A device has the price that is said of a whole one, else that of
-- its parts, if each has one.
WITH free AS (
    SELECT r.kind_id, count(*) AS n FROM ready_devices(%(team)s) r GROUP BY r.kind_id
), inside AS (
    SELECT DISTINCT d.kind_id, p.kind_id AS part_kind_id
    FROM standing_partstay y
    JOIN gear_device d ON d.id = y.device_id
    JOIN gear_part p ON p.id = y.part_id
    WHERE y.team_id = %(team)s AND y.state = 'built_in'
), loose AS (
    SELECT p.kind_id, count(*) AS n
    FROM standing_partstay y JOIN gear_part p ON p.id = y.part_id
    WHERE y.team_id = %(team)s AND upper_inf(y.during) AND y.state = 'stock'
      AND NOT EXISTS (SELECT FROM reserved_gear(%(team)s) r WHERE r.part_id = p.id)
    GROUP BY p.kind_id
), fitting AS (
    SELECT n.kind_id, n.role, n.count, n.needed, n.after_catch, r.mass_kg, r.price, coalesce(l.n, 0) AS stock
    FROM gear_kindpart n
    LEFT JOIN gear_partkind r ON r.team_id = n.team_id AND r.role = n.role
    LEFT JOIN loose l ON l.kind_id = r.id
    WHERE n.team_id = %(team)s AND (
        EXISTS (SELECT FROM inside i WHERE i.kind_id = n.kind_id AND i.part_kind_id = r.id)
        OR NOT EXISTS (
            SELECT FROM inside i JOIN gear_partkind o ON o.id = i.part_kind_id
            WHERE i.kind_id = n.kind_id AND o.role = n.role))
), bought AS (
    SELECT f.kind_id, f.role, f.count, f.needed, f.after_catch, avg(f.mass_kg) AS mass, avg(f.price) AS price,
           sum(f.stock) AS stock
    FROM fitting f GROUP BY f.kind_id, f.role, f.count, f.needed, f.after_catch
), built AS (
    SELECT b.kind_id,
           CASE WHEN bool_and(b.price IS NOT NULL) FILTER (WHERE b.needed)
                THEN sum(b.count * b.price) FILTER (WHERE b.needed) END AS price,
           sum(b.count * b.mass) FILTER (WHERE b.after_catch = 'spent') AS kit_mass,
           CASE WHEN bool_and(b.price IS NOT NULL) FILTER (WHERE b.after_catch = 'spent')
                THEN sum(b.count * b.price) FILTER (WHERE b.after_catch = 'spent') END AS kit_price,
           min(b.stock / b.count) FILTER (WHERE b.after_catch = 'spent') AS kits,
           count(*) FILTER (WHERE b.after_catch = 'spent') AS spent
    FROM bought b GROUP BY b.kind_id
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
       k.set_up_s, k.check_s, coalesce(f.n, 0), coalesce(k.price, b.price)::float, coalesce(b.spent, 0) > 0, b.kit_mass::float,
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
