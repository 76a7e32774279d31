-- The bound: effort and catches by line from the record, with nothing kept: each look in effect, the
-- time since the one before it, its animals.
SELECT n.name, count(*), sum(extract(epoch FROM k.at - k.from_at)) / 86400, sum(k.targets),
       sum(k.others), count(*) FILTER (WHERE k.found = 'sprung_empty')
FROM (
    SELECT c.set_id, c.at, c.found, coalesce(a.targets, 0) AS targets,
           coalesce(a.others, 0) AS others,
           lag(c.at, 1, s.placed_at) OVER (PARTITION BY c.set_id ORDER BY c.at, c.id) AS from_at
    FROM lines_check c
    JOIN standing_setstate s ON s.set_id = c.set_id
    LEFT JOIN (
        SELECT check_made_id, count(*) FILTER (WHERE is_target) AS targets,
               count(*) FILTER (WHERE NOT is_target) AS others
        FROM lines_catch WHERE team_id = %(team)s GROUP BY 1
    ) a ON a.check_made_id = c.id
    WHERE c.team_id = %(team)s AND c.counts AND NOT c.withdraws
      AND NOT EXISTS (SELECT FROM lines_check x WHERE x.corrects_id = c.id)
) k
JOIN lines_set x ON x.id = k.set_id
JOIN lines_line n ON n.id = x.line_id
GROUP BY n.name
