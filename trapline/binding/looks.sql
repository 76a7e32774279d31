-- The looks at some sets up to a moment that count as visits, newest first, the placing among them. For rules with
-- a window: the last visit may lie outside it, and then an earlier one is what counts.
SELECT u.set_id, (extract(epoch FROM u.at) * 1000000)::bigint, u.placing
FROM (
    SELECT i.set_id, i.till_at AS at, FALSE AS placing
    FROM standing_interval i
    WHERE i.team_id = %(team)s AND i.set_id = ANY (%(sets)s) AND i.till_at <= %(moment)s
    UNION ALL
    SELECT s.set_id, s.placed_at, TRUE
    FROM standing_setstate s
    WHERE s.team_id = %(team)s AND s.set_id = ANY (%(sets)s)
) u
ORDER BY u.set_id, u.at DESC
