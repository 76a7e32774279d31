-- Air temperatures read on the lines of some sets since each set's last visit.
SELECT s.set_id, (extract(epoch FROM r.at) * 1000000)::bigint, r.value
FROM standing_setstate s
JOIN lines_reading r ON r.line_id = s.line_id AND r.what = 'air_c' AND r.at >= s.last_visit_at
WHERE s.team_id = %(team)s AND s.set_id = ANY (%(sets)s) AND r.at <= %(moment)s
