-- Some sets in business, with what rules choose them by (binding/profiles.py).
SELECT s.set_id, s.placed_at,
       concat_ws(E'\x1f', s.device_class, s.action, s.placement, array_to_string(s.zone_codes, ','),
                 q.kind, (
                     SELECT coalesce(string_agg(a.code, ',' ORDER BY a.code), '')
                     FROM lines_target g JOIN rulebook_species a ON a.id = g.species_id
                     WHERE g.set_id = s.set_id),
                 l.tz),
       s.line_id, s.responsible_id
FROM standing_setstate s
JOIN lines_line l ON l.id = s.line_id
JOIN lines_set x ON x.id = s.set_id
JOIN people_licence q ON q.id = x.licence_id
WHERE s.team_id = %(team)s AND s.set_id = ANY (%(sets)s) AND s.active
