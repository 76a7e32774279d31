-- Lines, each with one place of an active set on it, or else the start of its path.
SELECT l.id, l.name, l.tz, l.travel, l.status, p.place IS NOT NULL,
       ST_Y(coalesce(p.place::geometry, ST_StartPoint(l.path::geometry))),
       ST_X(coalesce(p.place::geometry, ST_StartPoint(l.path::geometry)))
FROM lines_line l
LEFT JOIN LATERAL (
    SELECT s.place FROM standing_setstate s
    WHERE s.team_id = l.team_id AND s.line_id = l.id AND s.active
      AND (%(member)s::uuid IS NULL OR s.responsible_id = %(member)s)
    LIMIT 1
) p ON TRUE
WHERE l.team_id = %(team)s AND (%(member)s::uuid IS NULL OR p.place IS NOT NULL)
ORDER BY l.name
