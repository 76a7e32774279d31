-- Animals in effect of some days by species: what became of them, and of those taken sex and age.
SELECT e.code, e.name, count(*),
       count(*) FILTER (WHERE t.taken),
       count(*) FILTER (WHERE t.taken AND k.sex = 'male'),
       count(*) FILTER (WHERE t.taken AND k.sex = 'female'),
       count(*) FILTER (WHERE t.taken AND k.age = 'adult'),
       count(*) FILTER (WHERE t.taken AND k.age = 'juvenile'),
       count(*) FILTER (WHERE k.fate = 'released')
FROM lines_catch k
JOIN lines_check c ON c.id = k.check_made_id
JOIN rulebook_species e ON e.id = k.species_id
CROSS JOIN LATERAL (SELECT k.fate IN ('dispatched', 'found_dead') AS taken) t
WHERE k.team_id = %(team)s AND NOT c.withdraws
  AND NOT EXISTS (SELECT FROM lines_check y WHERE y.corrects_id = c.id)
  AND (%(member)s::uuid IS NULL OR c.by_id = %(member)s)
  AND c.local_date >= %(first)s AND c.local_date <= %(last)s
GROUP BY e.code, e.name
ORDER BY lower(e.name), e.code
