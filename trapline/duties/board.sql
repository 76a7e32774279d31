-- The nearest open duties of each section, so many of each, by the index over the open ones. Whose
-- day has ended is asked of the line only where the team's lines disagree about it.
WITH day AS (
    SELECT * FROM unnest(%(lines)s::uuid[], %(ends)s::timestamptz[]) AS d (line_id, day_end)
), own AS (
    SELECT s.set_id FROM standing_setstate s
    WHERE s.team_id = %(team)s AND s.responsible_id = %(member)s AND s.active
), mine AS NOT MATERIALIZED (
    SELECT d.id, d.kind, d.due_at, d.basis_at, d.stamp, d.who_id, d.set_id, d.waiting_id,
           d.of_line_id, d.caught_id, d.permission_id, d.licence_id, d.part_kind_id
    FROM duties_duty d
    WHERE d.team_id = %(team)s AND d.state IN ('open', 'overdue')
      AND (%(member)s::uuid IS NULL OR d.who_id = %(member)s OR d.set_id IN (SELECT * FROM own)
           OR d.waiting_id IN (SELECT w.id FROM lines_waiting w JOIN own USING (set_id)))
), ahead AS NOT MATERIALIZED (
    SELECT m.*, m.due_at <= %(first_end)s OR m.due_at <= %(last_end)s AND m.due_at <= coalesce(
        (SELECT day.day_end FROM day WHERE day.line_id = m.of_line_id), %(first_end)s) AS by_tonight
    FROM mine m
    WHERE m.due_at > %(moment)s AND m.due_at <= %(horizon)s AND m.kind <> 'animal_waiting'
), near AS (
    (SELECT 'waiting' AS section, m.* FROM mine m WHERE kind = 'animal_waiting'
     ORDER BY due_at, id LIMIT %(waiting)s)
    UNION ALL
    (SELECT 'overdue', m.* FROM mine m
     WHERE due_at <= %(moment)s AND kind <> 'animal_waiting' ORDER BY due_at, id LIMIT %(overdue)s)
    UNION ALL
    (SELECT 'today', id, kind, due_at, basis_at, stamp, who_id, set_id, waiting_id, of_line_id,
            caught_id, permission_id, licence_id, part_kind_id
     FROM ahead WHERE by_tonight ORDER BY due_at, id LIMIT %(today)s)
    UNION ALL
    (SELECT 'later', id, kind, due_at, basis_at, stamp, who_id, set_id, waiting_id, of_line_id,
            caught_id, permission_id, licence_id, part_kind_id
     FROM ahead WHERE NOT by_tonight ORDER BY due_at, id LIMIT %(later)s)
    UNION ALL
    (SELECT 'unbound', m.* FROM mine m WHERE due_at IS NULL AND kind <> 'animal_waiting'
     ORDER BY id LIMIT %(unbound)s)
)
SELECT n.section, n.id, n.kind, n.due_at, n.basis_at, n.stamp,
       t.id, coalesce(t.label, ''),
       coalesce((SELECT s.device_class FROM standing_setstate s WHERE s.set_id = t.id), ''),
       n.of_line_id, n.who_id,
       coalesce((SELECT m.name FROM people_membership m WHERE m.id = n.who_id), ''),
       n.waiting_id, w.alive, coalesce(p.name, ''), coalesce(p.handling, ''),
       coalesce(p.card, ''), coalesce(w.note, ''), n.permission_id,
       n.part_kind_id,
       coalesce(
           (SELECT e.name FROM land_permission e WHERE e.id = n.permission_id),
           (SELECT l.number FROM people_licence l WHERE l.id = n.licence_id),
           (SELECT k.name FROM gear_partkind k WHERE k.id = n.part_kind_id), '')
FROM near n
LEFT JOIN lines_waiting w ON w.id = n.waiting_id
LEFT JOIN lines_catch c ON c.id = n.caught_id
LEFT JOIN lines_check k ON k.id = c.check_made_id
LEFT JOIN lines_set t ON t.id = coalesce(n.set_id, w.set_id, k.set_id)
LEFT JOIN rulebook_species p ON p.id = coalesce(w.species_id, c.species_id)
ORDER BY n.section, n.due_at, n.id
