-- Number books with what became of their numbers and the lowest that is free.
SELECT s.id, s.licence_id, c.number, h.name, s.kind, s.prefix, s.first, s.last,
       count(n.id) FILTER (WHERE n.use = 'used'), count(n.id) FILTER (WHERE n.use = 'void'),
       count(n.id) FILTER (WHERE n.use = 'lost'), count(n.id) FILTER (WHERE n.use = 'returned'),
       CASE WHEN count(n.id) = 0 OR min(n.number) > s.first THEN s.first
            ELSE (SELECT min(x.number) + 1 FROM lines_numberspent x
                  WHERE x.series_id = s.id AND x.number < s.last AND NOT EXISTS (
                      SELECT FROM lines_numberspent y
                      WHERE y.series_id = s.id AND y.number = x.number + 1))
       END
FROM lines_series s
JOIN people_licence c ON c.id = s.licence_id
JOIN people_membership h ON h.id = c.holder_id
LEFT JOIN lines_numberspent n ON n.series_id = s.id
     AND NOT EXISTS (SELECT FROM lines_numberspent r WHERE r.replaces_id = n.id)
WHERE s.team_id = %(team)s AND (%(licence)s::uuid IS NULL OR s.licence_id = %(licence)s)
GROUP BY s.id, c.number, h.name
ORDER BY c.number, s.kind, s.prefix, s.first
