-- Open duties in sections, the nearest of each, with how many the section has.
WITH day AS (
    SELECT * FROM unnest(%(lines)s::uuid[], %(ends)s::timestamptz[]) AS d (line_id, day_end)
), open_now AS (
    SELECT d.id, d.kind, d.due_at, d.basis_at, d.stamp, d.who_id, d.rule_id, d.waiting_id,
           coalesce(d.set_id, w.set_id) AS set_id,
           coalesce(s.line_id, d.line_id) AS line_id,
           s.placement, s.device_class, w.alive, w.species_id, w.note,
           CASE WHEN d.kind = 'animal_waiting' THEN 'waiting'
                WHEN d.due_at IS NULL THEN 'unbound'
                WHEN d.due_at <= %(moment)s THEN 'overdue'
                WHEN d.due_at <= day.day_end THEN 'today'
                ELSE 'later' END AS section
    FROM duties_duty d
    LEFT JOIN lines_waiting w ON w.id = d.waiting_id
    LEFT JOIN standing_setstate s ON s.set_id = coalesce(d.set_id, w.set_id)
    LEFT JOIN day ON day.line_id = coalesce(s.line_id, d.line_id)
    WHERE d.team_id = %(team)s AND d.state IN ('open', 'overdue')
      AND (%(member)s::uuid IS NULL OR d.who_id = %(member)s OR s.responsible_id = %(member)s)
), ranked AS (
    SELECT o.*, count(*) OVER (PARTITION BY section) AS total,
           row_number() OVER (PARTITION BY section ORDER BY due_at, id) AS place
    FROM open_now o
)
SELECT r.section, r.total, r.id, r.kind, r.due_at, r.basis_at, r.stamp,
       r.set_id, coalesce(t.label, ''), coalesce(r.placement, ''), coalesce(r.device_class, ''),
       r.line_id, coalesce(l.name, ''), coalesce(l.tz, 'UTC'),
       r.who_id, coalesce(m.name, ''), coalesce(u.code, ''), coalesce(a.name, ''),
       r.waiting_id, r.alive, coalesce(p.name, ''), coalesce(p.handling, ''),
       coalesce(p.card, ''), coalesce(r.note, '')
FROM ranked r
LEFT JOIN lines_set t ON t.id = r.set_id
LEFT JOIN lines_line l ON l.id = r.line_id
LEFT JOIN people_membership m ON m.id = r.who_id
LEFT JOIN rulebook_rule u ON u.id = r.rule_id
LEFT JOIN rulebook_authority a ON a.id = u.authority_id
LEFT JOIN rulebook_species p ON p.id = r.species_id
WHERE r.place <= %(most)s
ORDER BY r.section, r.place
