-- Meat that went, of animals found in these days: by use, by whom, by species.
SELECT o.use, coalesce(e.name, o.household), o.member_id, a.species_code, a.species, sum(o.kg),
       count(DISTINCT o.animal)
FROM kept_portion o
JOIN kept_animal a ON a.team_id = %(team)s AND a.animal = o.animal
LEFT JOIN people_membership e ON e.id = o.member_id
WHERE o.team_id = %(team)s
  AND NOT EXISTS (SELECT FROM kept_undone u WHERE u.portion_id = o.id)
  AND (%(member)s::uuid IS NULL OR o.member_id = %(member)s OR a.by_id = %(member)s
       OR a.holder_id = %(member)s)
  AND (%(first)s::date IS NULL OR a.local_date >= %(first)s)
  AND (%(last)s::date IS NULL OR a.local_date <= %(last)s)
GROUP BY o.use, coalesce(e.name, o.household), o.member_id, a.species_code, a.species
ORDER BY lower(coalesce(e.name, o.household)), o.member_id, o.use, lower(a.species)
