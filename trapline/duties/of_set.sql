-- Open duties of one set, those of its animals included, waiting or caught.
SELECT d.id, d.kind, d.due_at, d.basis_at, d.stamp, coalesce(m.name, ''), coalesce(u.code, ''),
       coalesce(a.name, ''), d.waiting_id, w.alive, coalesce(p.name, ''),
       coalesce(p.handling, ''), coalesce(p.card, ''), coalesce(w.note, '')
FROM duties_duty d
LEFT JOIN lines_waiting w ON w.id = d.waiting_id
LEFT JOIN people_membership m ON m.id = d.who_id
LEFT JOIN rulebook_rule u ON u.id = d.rule_id
LEFT JOIN rulebook_authority a ON a.id = u.authority_id
LEFT JOIN lines_catch c ON c.id = d.caught_id
LEFT JOIN rulebook_species p ON p.id = coalesce(w.species_id, c.species_id)
WHERE d.team_id = %(team)s AND d.state IN ('open', 'overdue')
  AND (d.set_id = %(set)s
       OR d.waiting_id IN (SELECT id FROM lines_waiting WHERE set_id = %(set)s)
       OR d.caught_id IN (SELECT h.id FROM lines_check k JOIN lines_catch h ON h.check_made_id = k.id
                          WHERE k.set_id = %(set)s))
ORDER BY d.kind <> 'animal_waiting', d.due_at NULLS LAST
