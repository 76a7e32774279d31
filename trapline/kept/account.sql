-- The account: how many animals of each species are in each place, how far the pelts in the room
-- are, and how many stand twice in the record or are told of against it.
SELECT a.species_code, a.species, a.place, a.pelt, count(*), count(*) - count(DISTINCT a.animal),
       count(*) FILTER (WHERE a.against_record), sum(a.price), a.currency
FROM kept_animal a
WHERE a.team_id = %(team)s
  AND (%(member)s::uuid IS NULL OR a.by_id = %(member)s OR a.holder_id = %(member)s)
  AND (%(first)s::date IS NULL OR a.local_date >= %(first)s)
  AND (%(last)s::date IS NULL OR a.local_date <= %(last)s)
-- The row of all, which has no species, is the one that sees an animal twice wherever it stands.
GROUP BY GROUPING SETS ((a.species_code, a.species, a.place, a.pelt, a.currency), ())
ORDER BY lower(a.species), a.species_code, a.place, a.pelt
