-- Open duties counted by line, kind, section and stretch of time: the sections' totals, and what
-- stands on the ribbon. By subject, because each leads to its line by another way.
WITH day AS (
    SELECT * FROM unnest(%(lines)s::uuid[], %(ends)s::timestamptz[]) AS d (line_id, day_end)
), on_line AS (
    SELECT d.kind, d.due_at, s.line_id
    FROM duties_duty d JOIN standing_setstate s ON s.set_id = d.set_id
    WHERE d.team_id = %(team)s AND d.state IN ('open', 'overdue') AND s.team_id = %(team)s
      AND (%(member)s::uuid IS NULL OR d.who_id = %(member)s OR s.responsible_id = %(member)s)
    UNION ALL
    SELECT d.kind, d.due_at, s.line_id
    FROM duties_duty d
    JOIN lines_waiting w ON w.id = d.waiting_id
    JOIN standing_setstate s ON s.set_id = w.set_id
    WHERE d.team_id = %(team)s AND d.state IN ('open', 'overdue') AND d.kind = 'animal_waiting'
      AND (%(member)s::uuid IS NULL OR d.who_id = %(member)s OR s.responsible_id = %(member)s)
    UNION ALL
    SELECT d.kind, d.due_at, d.line_id
    FROM duties_duty d
    WHERE d.team_id = %(team)s AND d.state IN ('open', 'overdue')
      AND d.set_id IS NULL AND d.waiting_id IS NULL
      AND (%(member)s::uuid IS NULL OR d.who_id = %(member)s)
)
SELECT o.line_id, o.kind,
       CASE WHEN o.kind = 'animal_waiting' THEN 'waiting'
            WHEN o.due_at IS NULL THEN 'unbound'
            WHEN o.due_at <= %(moment)s THEN 'overdue'
            WHEN o.due_at <= day.day_end THEN 'today'
            ELSE 'later' END AS section,
       count(*), min(o.due_at), max(o.due_at)
FROM on_line o LEFT JOIN day ON day.line_id = o.line_id
GROUP BY o.line_id, o.kind, section,
         -- one stretch for what is past, and one for what lies beyond the ribbon
         date_bin(make_interval(secs => %(bin_s)s),
                  greatest(least(o.due_at, %(until)s), %(moment)s), %(moment)s)
