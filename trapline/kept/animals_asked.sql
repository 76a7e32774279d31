-- What rules still ask of animals of the record (reports, seals and tags, samples), the earliest first.
SELECT d.id, d.kind, d.due_at, a.animal, a.species, a.site_tag, a.seal, a.tz, r.code, m.name
FROM duties_duty d
JOIN kept_animal a ON a.team_id = %(team)s AND a.catch_id = d.caught_id
LEFT JOIN rulebook_rule r ON r.id = d.rule_id
LEFT JOIN people_membership m ON m.id = d.who_id
WHERE d.team_id = %(team)s AND d.kind IN ('report', 'seal', 'sample')
  AND d.state IN ('open', 'overdue')
  AND (%(member)s::uuid IS NULL OR a.by_id = %(member)s OR a.holder_id = %(member)s)
ORDER BY d.due_at, d.id
LIMIT %(most)s
