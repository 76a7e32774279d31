-- Animals taken in these days, by species: how many are fit, not fit, not judged; meat of the fit on
-- the scale, the live weight of fit ones whose meat was not weighed, and what went.
SELECT a.species_code, a.species, count(*), count(*) FILTER (WHERE a.fit),
       count(*) FILTER (WHERE NOT a.fit), count(*) FILTER (WHERE a.fit IS NULL),
       coalesce(sum(a.edible_kg) FILTER (WHERE a.fit), 0),
       coalesce(sum(a.weight_kg) FILTER (WHERE a.fit AND a.edible_kg IS NULL), 0),
       count(*) FILTER (WHERE a.fit AND a.edible_kg IS NULL AND a.weight_kg IS NULL),
       sum(a.eaten_kg), sum(a.given_kg), sum(a.other_kg)
FROM kept_animal a
WHERE a.team_id = %(team)s AND a.fate IN ('dispatched', 'found_dead')
  AND (%(member)s::uuid IS NULL OR a.by_id = %(member)s OR a.holder_id = %(member)s)
  AND (%(first)s::date IS NULL OR a.local_date >= %(first)s)
  AND (%(last)s::date IS NULL OR a.local_date <= %(last)s)
GROUP BY a.species_code, a.species
ORDER BY lower(a.species), a.species_code
