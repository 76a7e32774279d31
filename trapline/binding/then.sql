-- One set as it stood at a moment: how it was arranged, what it was made for, in which zones as they
-- were drawn then, and the visits up to then. No row when it did not stand.
SELECT t.line_id, l.tz, ST_Y(p.place::geometry), ST_X(p.place::geometry), p.placement, p.device_id,
       k.name, k.device_class, k.action, p.responsible_id, m.name, c.kind,
       ARRAY(SELECT s.code FROM lines_target g JOIN rulebook_species s ON s.id = g.species_id
             WHERE g.set_id = t.id ORDER BY s.code),
       ARRAY(SELECT z.code FROM land_zone z
             WHERE z.team_id = %(team)s AND z.during @> %(moment)s::timestamptz
               AND ST_Intersects(z.area, p.place) ORDER BY z.code),
       b.placed_at, n.at,
       (SELECT array_agg(g.authority_id) FROM lines_grant g
        WHERE g.set_id = t.id AND g.at <= %(moment)s),
       (SELECT array_agg((extract(epoch FROM g.until) * 1000000)::bigint) FROM lines_grant g
        WHERE g.set_id = t.id AND g.at <= %(moment)s),
       w.rule_stamp
FROM lines_set t
JOIN people_team w ON w.id = t.team_id
JOIN lines_line l ON l.id = t.line_id
JOIN people_licence c ON c.id = t.licence_id
JOIN standing_setperiod p ON p.set_id = t.id AND p.during @> %(moment)s::timestamptz
JOIN gear_device d ON d.id = p.device_id
JOIN gear_devicekind k ON k.id = d.kind_id
JOIN people_membership m ON m.id = p.responsible_id
CROSS JOIN LATERAL (
    SELECT min(lower(q.during)) AS placed_at FROM standing_setperiod q WHERE q.set_id = t.id
) b
LEFT JOIN LATERAL (
    SELECT i.till_at AS at FROM standing_interval i
    WHERE i.set_id = t.id AND i.till_at <= %(moment)s ORDER BY i.till_at DESC LIMIT 1
) n ON TRUE
WHERE t.team_id = %(team)s AND t.id = %(set)s
