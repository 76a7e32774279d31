-- A set as it stands, locked against other acts on it. NO KEY: a duty's key to it may still be read.
SELECT s.set_id, x.label, s.line_id, l.tz, x.licence_id, s.active, s.ended_at, s.placed_at,
       s.last_visit_at, s.responsible_id, s.device_id, s.device_class, s.action, s.placement,
       (SELECT z.id FROM land_zone z
        WHERE z.team_id = s.team_id AND z.code = ANY (s.zone_codes) AND upper_inf(z.during)
        ORDER BY z.code LIMIT 1),
       (SELECT min(d.basis_at) FROM duties_duty d
        WHERE d.set_id = s.set_id AND d.kind = 'search' AND d.state IN ('open', 'overdue')),
       s.zone_codes, (SELECT q.kind FROM people_licence q WHERE q.id = x.licence_id),
       ARRAY(SELECT t.species_id FROM lines_target t WHERE t.team_id = s.team_id AND t.set_id = s.set_id)
FROM standing_setstate s
JOIN lines_set x ON x.id = s.set_id
JOIN lines_line l ON l.id = s.line_id
WHERE s.team_id = %(team)s AND s.set_id = %(set)s
FOR NO KEY UPDATE OF s
