-- Samples that were taken, those not yet handed in first.
SELECT s.id, s.animal, s.what, s.label, s.at, t.name, a.species, a.site_tag, a.seal, a.licence,
       d.at, d."to", d.reference, h.name
FROM kept_sample s
JOIN people_membership t ON t.id = s.by_id
LEFT JOIN kept_animal a ON a.team_id = %(team)s AND a.animal = s.animal
LEFT JOIN kept_samplehandedin d ON d.sample_id = s.id
LEFT JOIN people_membership h ON h.id = d.by_id
WHERE s.team_id = %(team)s
  AND NOT EXISTS (SELECT FROM kept_undone u WHERE u.sample_id = s.id)
  AND (%(member)s::uuid IS NULL OR a.by_id = %(member)s OR a.holder_id = %(member)s)
ORDER BY d.at IS NOT NULL, d.at DESC, s.at, s.id
LIMIT %(most)s
