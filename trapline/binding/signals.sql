-- What monitors on some sets sent: the last status heard, and since the set's last visit the first
-- closure and the first time that contact was said to be lost.
SELECT g.set_id,
       max((extract(epoch FROM s.at) * 1000000)::bigint) FILTER (WHERE s.what = 'status'),
       min((extract(epoch FROM s.at) * 1000000)::bigint)
           FILTER (WHERE s.what = 'closed' AND s.at >= g.since),
       min((extract(epoch FROM s.at) * 1000000)::bigint)
           FILTER (WHERE s.what = 'contact_lost' AND s.at >= g.since)
FROM unnest(%(sets)s::uuid[], %(since)s::timestamptz[]) AS g (set_id, since)
JOIN lines_signal s ON s.set_id = g.set_id AND s.team_id = %(team)s AND s.at <= %(moment)s
GROUP BY g.set_id
