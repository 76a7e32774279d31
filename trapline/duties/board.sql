-- Open duties in sections, the nearest of each, with how many the section has: all of a section
-- that has few, or the first of one that has many. What a row says is looked up for those only;
-- whose day has ended is asked of the line only where the team's lines disagree about it.
WITH day AS (
    SELECT * FROM unnest(%(lines)s::uuid[], %(ends)s::timestamptz[]) AS d (line_id, day_end)
), ends AS (
    SELECT min(day_end) AS first, max(day_end) AS last FROM day
), open_now AS MATERIALIZED (
    SELECT d.id, d.due_at,
           CASE WHEN d.kind = 'animal_waiting' THEN 'waiting'
                WHEN d.due_at IS NULL THEN 'unbound'
                WHEN d.due_at <= %(moment)s THEN 'overdue'
                WHEN d.due_at <= ends.first THEN 'today'
                WHEN d.due_at <= ends.last THEN coalesce(
                    (SELECT CASE WHEN d.due_at <= day.day_end THEN 'today' END
                     FROM day LEFT JOIN standing_setstate s ON s.set_id = d.set_id
                     WHERE day.line_id = coalesce(s.line_id, d.line_id)), 'later')
                ELSE 'later' END AS section
    FROM duties_duty d CROSS JOIN ends
    WHERE d.team_id = %(team)s AND d.state IN ('open', 'overdue')
      AND (%(member)s::uuid IS NULL OR d.who_id = %(member)s
           OR d.set_id IN (SELECT s.set_id FROM standing_setstate s
                           WHERE s.responsible_id = %(member)s AND s.active)
           OR d.waiting_id IN (SELECT w.id FROM lines_waiting w
                               JOIN standing_setstate s ON s.set_id = w.set_id
                               WHERE s.responsible_id = %(member)s AND s.active))
), near AS (
    SELECT o.*, c.total
    FROM (SELECT section, count(*) AS total FROM open_now GROUP BY section) c
    CROSS JOIN LATERAL (
        SELECT * FROM open_now o WHERE o.section = c.section ORDER BY o.due_at, o.id
        LIMIT CASE WHEN c.total <= %(most)s THEN %(most)s ELSE %(few)s END
    ) o
)
SELECT n.section, n.total, d.id, d.kind, d.due_at, d.basis_at, d.stamp,
       d.at_set, coalesce((SELECT t.label FROM lines_set t WHERE t.id = d.at_set), ''),
       coalesce(s.placement, ''), coalesce(s.device_class, ''),
       l.id, coalesce(l.name, ''), coalesce(l.tz, 'UTC'),
       d.who_id, coalesce((SELECT m.name FROM people_membership m WHERE m.id = d.who_id), ''),
       d.waiting_id, d.alive, coalesce(p.name, ''), coalesce(p.handling, ''),
       coalesce(p.card, ''), coalesce(d.note, '')
FROM near n
CROSS JOIN LATERAL (
    SELECT d.*, coalesce(d.set_id, w.set_id) AS at_set, w.alive, w.species_id, w.note
    FROM duties_duty d LEFT JOIN lines_waiting w ON w.id = d.waiting_id
    WHERE d.id = n.id LIMIT 1
) d
LEFT JOIN LATERAL (
    SELECT s.* FROM standing_setstate s WHERE s.set_id = d.at_set LIMIT 1
) s ON TRUE
LEFT JOIN lines_line l ON l.id = coalesce(s.line_id, d.line_id)
LEFT JOIN rulebook_species p ON p.id = d.species_id
ORDER BY n.section, n.due_at, n.id
