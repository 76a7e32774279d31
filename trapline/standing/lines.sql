-- Lines with the number of their active sets and one place on each.
SELECT l.id, l.name, l.tz, l.travel, l.status, coalesce(s.sets, 0),
       ST_Y(coalesce(s.place::geometry, ST_StartPoint(l.path::geometry))),
       ST_X(coalesce(s.place::geometry, ST_StartPoint(l.path::geometry)))
FROM lines_line l
LEFT JOIN LATERAL (
    SELECT count(*) AS sets, (array_agg(t.place ORDER BY t.set_id))[1] AS place
    FROM standing_setstate t
    WHERE t.team_id = l.team_id AND t.line_id = l.id AND t.active
      AND (%(member)s::uuid IS NULL OR t.responsible_id = %(member)s)
) s ON TRUE
WHERE l.team_id = %(team)s AND (%(member)s::uuid IS NULL OR s.sets > 0)
ORDER BY l.name
