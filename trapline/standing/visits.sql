-- Intervals and the last visit of some sets, made again from the looks in effect since a moment.
-- A look in effect: a check that counts, that nothing corrects and that withdraws nothing.
WITH wanted AS (
    SELECT s.set_id, s.placed_at, s.device_id, s.placement
    FROM standing_setstate s
    WHERE s.team_id = %(team)s AND s.set_id = ANY (%(sets)s)
), tail AS (
    SELECT c.id, c.set_id, c.at, c.by_id, c.found, c.local_date, c.sign
    FROM lines_check c JOIN wanted USING (set_id)
    WHERE c.at >= %(since)s AND c.counts AND NOT c.withdraws
      AND NOT EXISTS (SELECT FROM lines_check x WHERE x.corrects_id = c.id)
), before AS (
    SELECT w.set_id, p.id, p.at, p.found
    FROM wanted w CROSS JOIN LATERAL (
        SELECT c.id, c.at, c.found
        FROM lines_check c
        WHERE c.set_id = w.set_id AND c.at < %(since)s AND c.counts AND NOT c.withdraws
          AND NOT EXISTS (SELECT FROM lines_check x WHERE x.corrects_id = c.id)
        ORDER BY c.at DESC, c.id DESC LIMIT 1
    ) p
), looks AS (
    SELECT t.id, t.set_id, t.at, t.by_id, t.found, t.local_date, t.sign,
           lag(t.at, 1, coalesce(b.at, w.placed_at))
               OVER (PARTITION BY t.set_id ORDER BY t.at, t.id) AS from_at
    FROM tail t JOIN wanted w USING (set_id) LEFT JOIN before b USING (set_id)
), stale AS (
    DELETE FROM standing_interval i USING wanted w
    WHERE i.set_id = w.set_id AND i.till_at >= %(since)s
      AND NOT EXISTS (SELECT FROM looks l WHERE l.id = i.id)
), kept AS (
    INSERT INTO standing_interval
        (id, team_id, set_id, from_at, till_at, by_id, device_kind_id, found, targets, others,
         alive, day, sign, placement, served)
    SELECT l.id, %(team)s, l.set_id, l.from_at, l.at, l.by_id, d.kind_id, l.found,
           coalesce(k.targets, 0), coalesce(k.others, 0), coalesce(k.alive, 0), l.local_date,
           l.sign, coalesce(p.placement, w.placement),
           extract(epoch FROM f.failed_at - l.from_at)::float8 / 86400
    FROM looks l
    JOIN wanted w USING (set_id)
    LEFT JOIN standing_setperiod p ON p.set_id = l.set_id AND p.during @> l.from_at
    JOIN gear_device d ON d.id = coalesce(p.device_id, w.device_id)
    LEFT JOIN LATERAL (
        SELECT count(*) FILTER (WHERE c.is_target) AS targets,
               count(*) FILTER (WHERE NOT c.is_target) AS others,
               count(*) FILTER (WHERE c.alive_on_arrival) AS alive
        FROM lines_catch c WHERE c.check_made_id = l.id
    ) k ON TRUE
    LEFT JOIN LATERAL (
        -- Since when it was buried or frozen in: the middle between the last moment at which it was
        -- not and the first reading of snow or ice that shows it; unknown if those are over a day
        -- apart. Snow is counted from how deep it lay when the set was last seen.
        SELECT greatest(b.at, l.from_at) + (a.at - greatest(b.at, l.from_at)) / 2 AS failed_at
        FROM lines_set x
        CROSS JOIN LATERAL (
            SELECT r.at, r.what
            FROM lines_reading r
            WHERE r.line_id = x.line_id AND r.at > l.from_at AND r.at <= l.at
              AND (r.what = 'ice_m' AND r.value > 0
                   AND coalesce(p.placement, w.placement) IN ('water_edge', 'submersion')
                OR r.what = 'snow_depth_m'
                   AND coalesce(p.placement, w.placement) IN ('land', 'water_edge', 'elevated')
                   AND r.value >= coalesce(p.loop_height_m, %(buries_m)s) - 1e-9 + (
                       SELECT d.value FROM lines_reading d
                       WHERE d.line_id = x.line_id AND d.what = 'snow_depth_m' AND d.at <= l.from_at
                       ORDER BY d.at DESC, d.id DESC LIMIT 1))
            ORDER BY r.at, r.id LIMIT 1
        ) a
        LEFT JOIN LATERAL (
            SELECT max(r.at) AS at FROM lines_reading r
            WHERE r.line_id = x.line_id AND r.what = a.what AND r.at < a.at
        ) b ON TRUE
        WHERE x.id = l.set_id AND a.at - greatest(b.at, l.from_at) <= interval '24 hours'
    ) f ON l.found = 'buried'
    ON CONFLICT (id) DO UPDATE SET
        from_at = excluded.from_at, till_at = excluded.till_at, by_id = excluded.by_id,
        device_kind_id = excluded.device_kind_id, found = excluded.found,
        targets = excluded.targets, others = excluded.others, alive = excluded.alive,
        day = excluded.day, sign = excluded.sign, placement = excluded.placement,
        served = excluded.served
), newest AS (
    SELECT DISTINCT ON (set_id) set_id, at, found
    FROM (SELECT set_id, id, at, found FROM tail
          UNION ALL SELECT set_id, id, at, found FROM before) u
    ORDER BY set_id, at DESC, id DESC
)
UPDATE standing_setstate s SET
    last_check_at = n.at,
    last_found = coalesce(n.found, ''),
    last_visit_at = greatest(w.placed_at, n.at),
    visit_by_placing = n.at IS NULL OR n.at < w.placed_at,
    folded_to = greatest(w.placed_at, n.at),
    untallied_from = least(s.untallied_from, %(untallied)s::date)
FROM wanted w LEFT JOIN newest n USING (set_id)
WHERE s.set_id = w.set_id
