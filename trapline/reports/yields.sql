-- The members by name with their check duties; who left is told of only with a duty or a look.
-- `spans`: for each zone of a line, the instants within which a duty counts (null: open).
WITH spans AS (
    SELECT * FROM unnest(%(zones)s::text[], %(begins)s::timestamptz[], %(ends)s::timestamptz[])
        AS s (tz, begins, ends)
), asked AS (
    SELECT d.who_id AS member, count(*) AS asked,
           count(*) FILTER (WHERE d.state = 'done' AND d.done_at < d.due_at) AS in_time
    FROM duties_duty d
    JOIN lines_set x ON x.id = d.set_id
    JOIN lines_line l ON l.id = x.line_id
    JOIN spans s ON s.tz = l.tz
    CROSS JOIN LATERAL (SELECT coalesce(d.done_at, d.due_at) AS told_at) t
    WHERE d.team_id = %(team)s AND d.kind = 'check' AND d.due_at IS NOT NULL
      AND (d.state = 'done' OR d.state IN ('open', 'overdue') AND d.due_at <= %(moment)s)
      AND (s.begins IS NULL OR t.told_at >= s.begins) AND (s.ends IS NULL OR t.told_at < s.ends)
      AND (%(member)s::uuid IS NULL OR d.who_id = %(member)s)
    GROUP BY d.who_id
)
SELECT m.id, m.name, m.role, coalesce(a.in_time, 0), coalesce(a.asked, 0)
FROM people_membership m
LEFT JOIN asked a ON a.member = m.id
WHERE m.team_id = %(team)s AND (%(member)s::uuid IS NULL OR m.id = %(member)s)
  AND (m.ended_at IS NULL OR a.member IS NOT NULL OR m.id = ANY (%(looked)s::uuid[]))
ORDER BY lower(m.name), m.id
