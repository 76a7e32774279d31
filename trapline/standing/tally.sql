-- Count the intervals of some sets by month, member, kind of device and placement, from the month
-- on that the fold wrote down, and strike that mark. Rows whose content is the same stay untouched.
WITH wanted AS (
    SELECT s.set_id, s.untallied_from
    FROM standing_setstate s
    WHERE s.team_id = %(team)s AND s.set_id = ANY (%(sets)s) AND s.untallied_from IS NOT NULL
), counted AS (
    SELECT i.set_id, date_trunc('month', i.day)::date AS month, i.by_id, i.device_kind_id,
           i.placement, count(*) AS looks, sum(i.nights) AS nights, sum(i.targets) AS targets,
           sum(i.others) AS others, sum(i.alive) AS alive,
           count(*) FILTER (WHERE i.sign IN ('target', 'other')) AS escaped,
           count(*) FILTER (WHERE i.found = 'sprung_empty' AND i.sign IN ('unknown', ''))
               AS unknown,
           string_agg(float8send(coalesce(i.served, i.nights)) || int4send(i.told), ''::bytea
                      ORDER BY i.till_at, i.id) AS pack
    FROM wanted w JOIN standing_interval i ON i.set_id = w.set_id AND i.day >= w.untallied_from
    WHERE i.team_id = %(team)s AND i.till_at > i.from_at
    GROUP BY 1, 2, 3, 4, 5
), told AS (
    SELECT c.*, hashtextextended(concat_ws(' ', c.set_id, c.month, c.by_id, c.device_kind_id,
                                           c.placement, encode(c.pack, 'hex')), 0) AS revision
    FROM counted c
), stale AS (
    DELETE FROM standing_tally t USING wanted w
    WHERE t.set_id = w.set_id AND t.month >= w.untallied_from
      AND NOT EXISTS (
          SELECT FROM counted c
          WHERE (c.set_id, c.month, c.by_id, c.device_kind_id, c.placement)
              = (t.set_id, t.month, t.by_id, t.device_kind_id, t.placement))
), kept AS (
    INSERT INTO standing_tally AS t
        (id, team_id, set_id, month, by_id, device_kind_id, placement, looks, nights, targets,
         others, alive, escaped, unknown, pack, revision)
    SELECT uuid7(), %(team)s, c.set_id, c.month, c.by_id, c.device_kind_id, c.placement, c.looks,
           c.nights, c.targets, c.others, c.alive, c.escaped, c.unknown, c.pack,
           c.revision
    FROM told c
    ON CONFLICT (set_id, month, by_id, device_kind_id, placement) DO UPDATE SET
        looks = excluded.looks, nights = excluded.nights, targets = excluded.targets,
        others = excluded.others, alive = excluded.alive, escaped = excluded.escaped,
        unknown = excluded.unknown, pack = excluded.pack, revision = excluded.revision
    WHERE (t.revision, t.looks, t.nights, t.targets, t.others, t.alive, t.escaped, t.unknown)
          IS DISTINCT FROM (excluded.revision, excluded.looks, excluded.nights, excluded.targets,
                            excluded.others, excluded.alive, excluded.escaped, excluded.unknown)
)
UPDATE standing_setstate s SET untallied_from = NULL, tallied = r.revision
FROM wanted w
LEFT JOIN LATERAL (
    -- A revision tells its set, month, member, kind and placement too, so no two are alike.
    SELECT bit_xor(u.revision) AS revision
    FROM (SELECT t.revision FROM standing_tally t
          WHERE t.set_id = w.set_id AND t.month < w.untallied_from
          UNION ALL
          SELECT c.revision FROM told c WHERE c.set_id = w.set_id) u
) r ON TRUE
WHERE s.set_id = w.set_id
