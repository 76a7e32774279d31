-- Intervals and the last visit of some sets, made again from the looks in effect since a moment.
-- A look in effect: a check that counts, that nothing corrects and that withdraws nothing.
WITH wanted AS (
    SELECT s.set_id, s.placed_at, s.device_id, s.placement
    FROM standing_setstate s
    WHERE s.team_id = %(team)s AND s.set_id = ANY (%(sets)s)
), tail AS (
    SELECT c.id, c.set_id, c.at, c.by_id, c.found, c.local_date, c.sign
    FROM lines_check c JOIN wanted USING (set_id)
    WHERE c.team_id = %(team)s AND c.at >= %(since)s AND c.counts AND NOT c.withdraws
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
         alive, day, sign, placement)
    SELECT l.id, %(team)s, l.set_id, l.from_at, l.at, l.by_id, d.kind_id, l.found,
           coalesce(k.targets, 0), coalesce(k.others, 0), coalesce(k.alive, 0), l.local_date,
           l.sign, coalesce(p.placement, w.placement)
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
    ON CONFLICT (id) DO UPDATE SET
        from_at = excluded.from_at, till_at = excluded.till_at, by_id = excluded.by_id,
        device_kind_id = excluded.device_kind_id, found = excluded.found,
        targets = excluded.targets, others = excluded.others, alive = excluded.alive,
        day = excluded.day, sign = excluded.sign, placement = excluded.placement
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
