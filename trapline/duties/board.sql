-- The nearest open duties of each section, so many of each, by the index over the open ones. Whose
-- day has ended is asked of a set's line only where the team's lines disagree about it.
WITH day AS (
    SELECT * FROM unnest(%(lines)s::uuid[], %(ends)s::timestamptz[]) AS d (line_id, day_end)
), ends AS (
    SELECT min(day_end) AS first, max(day_end) AS last FROM day
), own AS (
    SELECT s.set_id FROM standing_setstate s
    WHERE s.team_id = %(team)s AND s.responsible_id = %(member)s AND s.active
), mine AS NOT MATERIALIZED (
    SELECT d.id, d.kind, d.due_at, d.set_id, d.line_id FROM duties_duty d
    WHERE d.team_id = %(team)s AND d.state IN ('open', 'overdue')
      AND (%(member)s::uuid IS NULL OR d.who_id = %(member)s OR d.set_id IN (SELECT * FROM own)
           OR d.waiting_id IN (SELECT w.id FROM lines_waiting w JOIN own USING (set_id)))
), ahead AS NOT MATERIALIZED (
    SELECT m.*, m.due_at <= ends.first OR m.due_at <= ends.last AND EXISTS (
        SELECT FROM day LEFT JOIN standing_setstate s ON s.set_id = m.set_id
        WHERE day.line_id = coalesce(s.line_id, m.line_id) AND m.due_at <= day.day_end
    ) AS by_tonight
    FROM mine m CROSS JOIN ends WHERE m.due_at > %(moment)s AND m.kind <> 'animal_waiting'
), near AS (
    (SELECT 'waiting' AS section, id, due_at FROM mine WHERE kind = 'animal_waiting'
     ORDER BY due_at, id LIMIT %(waiting)s)
    UNION ALL
    (SELECT 'overdue', id, due_at FROM mine
     WHERE due_at <= %(moment)s AND kind <> 'animal_waiting' ORDER BY due_at, id LIMIT %(overdue)s)
    UNION ALL
    (SELECT 'today', id, due_at FROM ahead WHERE by_tonight ORDER BY due_at, id LIMIT %(today)s)
    UNION ALL
    (SELECT 'later', id, due_at FROM ahead WHERE NOT by_tonight
     ORDER BY due_at, id LIMIT %(later)s)
    UNION ALL
    (SELECT 'unbound', id, due_at FROM mine WHERE due_at IS NULL AND kind <> 'animal_waiting'
     ORDER BY id LIMIT %(unbound)s)
)
SELECT n.section, d.id, d.kind, d.due_at, d.basis_at, d.stamp,
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
