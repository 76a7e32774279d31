-- Open duties counted by line, kind, section and stretch of time: the sections' totals, and what
-- stands on the ribbon. Each kind of subject leads to its line by another way. Whose day has ended
-- is asked of the line only where the team's lines disagree about it.
WITH day AS (
    SELECT * FROM unnest(%(lines)s::uuid[], %(ends)s::timestamptz[]) AS d (line_id, day_end)
), own AS (
    SELECT s.set_id FROM standing_setstate s
    WHERE s.team_id = %(team)s AND s.responsible_id = %(member)s AND s.active
)
SELECT t.line_id, d.kind,
       CASE WHEN d.due_at <= %(moment)s THEN 'overdue'
            WHEN d.due_at <= %(first_end)s THEN 'today'
            WHEN d.due_at > %(last_end)s THEN 'later'
            WHEN d.due_at IS NULL THEN 'unbound'
            WHEN d.due_at <= (SELECT day_end FROM day WHERE day.line_id = t.line_id) THEN 'today'
            ELSE 'later' END AS section,
       count(*), min(d.due_at), max(d.due_at)
FROM duties_duty d JOIN lines_set t ON t.id = d.set_id
WHERE d.team_id = %(team)s AND d.state IN ('open', 'overdue')
  AND (%(member)s::uuid IS NULL OR d.who_id = %(member)s OR d.set_id IN (SELECT * FROM own))
GROUP BY t.line_id, d.kind, section,
         -- one stretch for what is past, and one for what lies beyond the ribbon
         date_bin(make_interval(secs => %(bin_s)s),
                  greatest(least(d.due_at, %(until)s), %(moment)s), %(moment)s)
UNION ALL
SELECT t.line_id, d.kind, 'waiting', count(*), min(d.due_at), max(d.due_at)
FROM duties_duty d
JOIN lines_waiting w ON w.id = d.waiting_id
JOIN lines_set t ON t.id = w.set_id
WHERE d.team_id = %(team)s AND d.state IN ('open', 'overdue') AND d.kind = 'animal_waiting'
  AND (%(member)s::uuid IS NULL OR d.who_id = %(member)s OR w.set_id IN (SELECT * FROM own))
GROUP BY t.line_id, d.kind
UNION ALL
SELECT d.line_id, d.kind,
       CASE WHEN d.due_at <= %(moment)s THEN 'overdue'
            WHEN d.due_at IS NULL THEN 'unbound'
            WHEN d.due_at <= coalesce(day.day_end, %(first_end)s) THEN 'today'
            ELSE 'later' END AS section,
       count(*), min(d.due_at), max(d.due_at)
FROM duties_duty d LEFT JOIN day ON day.line_id = d.line_id
WHERE d.team_id = %(team)s AND d.state IN ('open', 'overdue')
  AND d.set_id IS NULL AND d.waiting_id IS NULL
  AND (%(member)s::uuid IS NULL OR d.who_id = %(member)s)
GROUP BY d.line_id, d.kind, section,
         date_bin(make_interval(secs => %(bin_s)s),
                  greatest(least(d.due_at, %(until)s), %(moment)s), %(moment)s)
