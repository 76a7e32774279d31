-- Lines with the number of their active sets and one place on each.
SELECT l.id, l.name, l.tz, l.travel, l.status, coalesce(c.sets, 0),
       ST_Y(coalesce(p.place::geometry, ST_StartPoint(l.path::geometry))),
       ST_X(coalesce(p.place::geometry, ST_StartPoint(l.path::geometry)))
FROM lines_line l
LEFT JOIN (
    SELECT s.line_id, count(*) AS sets FROM standing_setstate s
    WHERE s.team_id = %(team)s AND s.active
      AND (%(member)s::uuid IS NULL OR s.responsible_id = %(member)s)
    GROUP BY s.line_id
) c ON c.line_id = l.id
LEFT JOIN LATERAL (
    SELECT s.place FROM standing_setstate s
    WHERE s.team_id = l.team_id AND s.line_id = l.id AND s.active
      AND (%(member)s::uuid IS NULL OR s.responsible_id = %(member)s)
    LIMIT 1
) p ON TRUE
WHERE l.team_id = %(team)s AND (%(member)s::uuid IS NULL OR c.sets > 0)
ORDER BY l.name
