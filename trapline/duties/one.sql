-- One duty that evidence closes, with what it is about. A member is shown their own.
SELECT d.id, d.kind, d.due_at, d.basis_at, d.state, k.set_id, coalesce(t.label, ''),
       coalesce(l.tz, 'UTC'), coalesce(s.name, ''), coalesce(p.number, ''), coalesce(u.code, ''),
       coalesce(a.name, ''), k.id, k.by_id
FROM duties_duty d
LEFT JOIN lines_catch c ON c.id = d.caught_id
LEFT JOIN lines_check k ON k.id = c.check_made_id
LEFT JOIN lines_set t ON t.id = k.set_id
LEFT JOIN lines_line l ON l.id = d.of_line_id
LEFT JOIN rulebook_species s ON s.id = c.species_id
LEFT JOIN people_licence p ON p.id = d.licence_id
LEFT JOIN rulebook_rule u ON u.id = d.rule_id
LEFT JOIN rulebook_authority a ON a.id = u.authority_id
WHERE d.team_id = %(team)s AND d.id = %(duty)s AND d.kind IN ('report', 'seal', 'sample', 'file')
  AND (%(member)s::uuid IS NULL OR d.who_id = %(member)s OR k.by_id = %(member)s
       OR p.holder_id = %(member)s)
