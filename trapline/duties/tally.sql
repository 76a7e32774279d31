-- Open duties counted by line, kind, section and stretch of time: the sections' totals, and what
-- stands on the ribbon. Whose day has ended is asked of the line only where the team's lines
-- disagree about it. All of it is read from the index over the open duties.
WITH day AS (
    SELECT * FROM unnest(%(lines)s::uuid[], %(ends)s::timestamptz[]) AS d (line_id, day_end)
), own AS (
    SELECT s.set_id FROM standing_setstate s
    WHERE s.team_id = %(team)s AND s.responsible_id = %(member)s AND s.active
)
SELECT d.of_line_id, d.kind,
       CASE WHEN d.kind = 'animal_waiting' THEN 'waiting'
            WHEN d.due_at <= %(moment)s THEN 'overdue'
            WHEN d.due_at <= %(first_end)s THEN 'today'
            WHEN d.due_at > %(last_end)s THEN 'later'
            WHEN d.due_at IS NULL THEN 'unbound'
            WHEN d.due_at <= (SELECT day_end FROM day WHERE day.line_id = d.of_line_id) THEN 'today'
            ELSE 'later' END AS section,
       count(*), min(d.due_at), max(d.due_at)
FROM duties_duty d
WHERE d.team_id = %(team)s AND d.state IN ('open', 'overdue')
  AND (d.due_at IS NULL OR d.due_at <= %(horizon)s)
  AND (%(member)s::uuid IS NULL OR d.who_id = %(member)s OR d.set_id IN (SELECT * FROM own)
       OR d.waiting_id IN (SELECT w.id FROM lines_waiting w JOIN own USING (set_id)))
GROUP BY d.of_line_id, d.kind, section,
         -- one stretch for what is past, and one for what lies beyond the ribbon
         date_bin(make_interval(secs => %(bin_s)s),
                  greatest(least(d.due_at, %(until)s), %(moment)s), %(moment)s)
