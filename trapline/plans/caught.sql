-- What each kind of device caught, by species, from looks in effect; and how heavy the animals were.
SELECT i.device_kind_id, c.species_id, count(*), min(c.weight_kg), max(c.weight_kg)
FROM standing_interval i JOIN lines_catch c ON c.check_made_id = i.id
WHERE i.team_id = %(team)s
GROUP BY i.device_kind_id, c.species_id
