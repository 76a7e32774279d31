-- Animals in effect with the place where the set stood then.
SELECT k.animal, s.latin, s.name, c.local_date, k.sex, k.age,
       replace(coalesce(e.device_class, ''), '_', ' '),
       ST_Y(p.place::geometry), ST_X(p.place::geometry)
FROM lines_catch k
JOIN lines_check c ON c.id = k.check_made_id
JOIN rulebook_species s ON s.id = k.species_id
LEFT JOIN standing_interval i ON i.id = c.id
LEFT JOIN standing_setperiod p ON p.set_id = c.set_id AND p.during @> coalesce(i.from_at, c.at)
LEFT JOIN gear_devicekind e ON e.id = i.device_kind_id
WHERE k.team_id = %(team)s AND NOT c.withdraws
  AND NOT EXISTS (SELECT FROM lines_check y WHERE y.corrects_id = c.id)
  AND (%(first)s::date IS NULL OR c.local_date >= %(first)s)
  AND (%(last)s::date IS NULL OR c.local_date <= %(last)s)
ORDER BY c.at, k.animal
