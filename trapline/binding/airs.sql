-- Air temperatures read on the lines of some sets, each since the set's last visit.
SELECT g.set_id, (extract(epoch FROM r.at) * 1000000)::bigint, r.value
FROM unnest(%(sets)s::uuid[], %(since)s::timestamptz[]) AS g (set_id, since)
JOIN lines_set s ON s.id = g.set_id AND s.team_id = %(team)s
JOIN lines_reading r ON r.line_id = s.line_id AND r.what = 'air_c' AND r.at >= g.since
WHERE r.at <= %(moment)s
