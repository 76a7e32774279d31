-- The bound's inputs: what a due moment is reckoned from, for the batch's sets.
SELECT s.set_id, s.last_visit_at, s.placement, s.device_class, s.action, s.zone_codes,
       ST_Y(s.place::geometry), ST_X(s.place::geometry), l.tz, p.kind, s.responsible_id
FROM standing_setstate s
JOIN lines_line l ON l.id = s.line_id
JOIN lines_set x ON x.id = s.set_id
JOIN people_licence p ON p.id = x.licence_id
WHERE s.team_id = %(team)s AND s.set_id = ANY (%(sets)s)
