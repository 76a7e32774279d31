-- Animals with where each of them is, the newest first.
SELECT a.animal, a.catch_id, a.species_code, a.species, a.local_date, a.at, a.tz, a.sex, a.age,
       a.alive_on_arrival, a.fate, a.weight_kg, a.site_tag, a.seal, a.device_tag, a.handed_to,
       a.reference, a.licence, a.checked_by, a.set_id, a.set_label, a.line_id, a.line, a.from_at,
       a.pelt, a.pelt_at, a.pelt_place, a.grade, a.pelt_to, a.price, a.currency, a.fit, a.organs,
       a.why, a.edible_kg, a.eaten_kg, a.given_kg, a.other_kg, a.place, a.against_record
FROM kept_animal a
WHERE a.team_id = %(team)s
  AND (%(member)s::uuid IS NULL OR a.by_id = %(member)s OR a.holder_id = %(member)s)
  AND (%(first)s::date IS NULL OR a.local_date >= %(first)s)
  AND (%(last)s::date IS NULL OR a.local_date <= %(last)s)
  AND (%(places)s::text[] IS NULL OR a.place = ANY (%(places)s))
  AND (%(animals)s::uuid[] IS NULL OR a.animal = ANY (%(animals)s))
  AND (%(pelt)s::text IS NULL OR a.pelt = %(pelt)s)
ORDER BY a.local_date DESC, a.at DESC, a.animal
LIMIT %(most)s
