-- Samples that rules ask for and nobody handed in, the earliest first; with the one that was taken.
SELECT d.id, d.due_at, d.state, a.animal, a.species, a.site_tag, a.seal, a.licence, a.tz,
       r.params->>'sample', coalesce(r.params->>'office', ''), r.code, m.name, s.id, s.label
FROM duties_duty d
JOIN lines_catch k ON k.id = d.caught_id
JOIN kept_animal a ON a.team_id = %(team)s AND a.catch_id = k.id
JOIN rulebook_rule r ON r.id = d.rule_id
LEFT JOIN people_membership m ON m.id = d.who_id
LEFT JOIN LATERAL (
    SELECT t.id, t.label FROM kept_sample t
    WHERE t.team_id = d.team_id AND t.animal = a.animal AND t.what = r.params->>'sample'
      AND NOT EXISTS (SELECT FROM kept_undone u WHERE u.sample_id = t.id)
    LIMIT 1
) s ON TRUE
WHERE d.team_id = %(team)s AND d.kind = 'sample' AND d.state IN ('open', 'overdue')
  AND (%(member)s::uuid IS NULL OR a.by_id = %(member)s OR a.holder_id = %(member)s)
ORDER BY d.due_at, d.id
LIMIT %(most)s
