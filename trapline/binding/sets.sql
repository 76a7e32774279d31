-- For some sets: what their check duty is reckoned from, and which check rules of the version in
-- force apply. Rules are numbered by their code within the version. Dates are weighed in Python,
-- which has the only tz database.
WITH version AS (
    SELECT v.id FROM rulebook_version v
    WHERE v.team_id = %(team)s AND v.at <= %(moment)s AND (%(version)s::uuid IS NULL OR v.id = %(version)s)
    ORDER BY v.at DESC, v.number DESC LIMIT 1
), rules AS (
    SELECT r.*, (row_number() OVER (ORDER BY r.code COLLATE "C") - 1)::int AS no
    FROM rulebook_rule r JOIN version v ON v.id = r.version_id
    WHERE r.matter IN ('check', 'tending')
)
SELECT s.set_id,
       (extract(epoch FROM s.last_visit_at) * 1000000)::bigint,
       s.visit_by_placing,
       (extract(epoch FROM s.placed_at) * 1000000)::bigint,
       ST_Y(s.place::geometry), ST_X(s.place::geometry), l.tz,
       s.responsible_id,
       ARRAY(
           SELECT r.no FROM rules r
           WHERE (r.device_classes = '{}' OR s.device_class = ANY (r.device_classes))
             AND (r.actions = '{}' OR s.action = ANY (r.actions))
             AND (r.placements = '{}' OR s.placement = ANY (r.placements))
             AND (r.zone_codes = '{}' OR s.zone_codes && r.zone_codes)
             AND (r.licence_kinds = '{}' OR p.kind = ANY (r.licence_kinds))
             AND (r.species_codes = '{}' OR EXISTS (
                 SELECT FROM lines_target g JOIN rulebook_species a ON a.id = g.species_id
                 WHERE g.set_id = s.set_id AND a.code = ANY (r.species_codes)))
             AND (r.holds_from IS NULL OR r.holds_from <= %(moment)s)
             AND (r.holds_until IS NULL OR %(moment)s < r.holds_until)
       ),
       (SELECT id FROM version),
       t.rule_stamp,
       e.authorities,
       e.until_us
FROM standing_setstate s
JOIN people_team t ON t.id = s.team_id
JOIN lines_line l ON l.id = s.line_id
JOIN lines_set x ON x.id = s.set_id
JOIN people_licence p ON p.id = x.licence_id
LEFT JOIN LATERAL (
    SELECT array_agg(g.authority_id) AS authorities,
           array_agg((extract(epoch FROM g.until) * 1000000)::bigint) AS until_us
    FROM lines_grant g
    WHERE g.set_id = s.set_id AND g.at <= %(moment)s AND g.until > s.last_visit_at
) e ON TRUE
WHERE s.team_id = %(team)s AND s.set_id = ANY (%(sets)s) AND s.active
