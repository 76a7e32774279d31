-- One row for each active set among some: what findings are judged by. Columns: facts.py.
-- Dates come in as three days (yesterday, today, tomorrow by UTC), since a set's local date is one
-- of them: a mask has a bit for each day. Places are compared here, by index, in metres.
WITH version AS MATERIALIZED (
    SELECT v.id FROM rulebook_version v
    WHERE v.team_id = %(team)s AND v.at <= %(moment)s
      AND (%(version)s::uuid IS NULL OR v.id = %(version)s)
    ORDER BY v.at DESC, v.number DESC LIMIT 1
), reach AS MATERIALIZED (
    -- The largest setback in force: nothing further off is looked at.
    SELECT coalesce(%(reach)s::float8, max((r.params->>'at_least_m')::float8), 0) AS m
    FROM rulebook_rule r JOIN version v ON v.id = r.version_id
    WHERE r.matter = 'setback'
), notices AS MATERIALIZED (
    SELECT o.species_id, a.code, o.zone_code, o.from_at, o.pull_by,
           coalesce(i.from_at, 'infinity') AS till
    FROM rulebook_closure o
    JOIN rulebook_species a ON a.id = o.species_id
    LEFT JOIN rulebook_reopening i ON i.closure_id = o.id
    WHERE o.team_id = %(team)s
), lines AS MATERIALIZED (
    SELECT l.id, l.tz, snow.value AS snow_m, snow.at AS snow_at, water.value AS water_m,
           water.at AS water_at, ice.value AS ice_m, ice.at AS ice_at
    FROM lines_line l
    LEFT JOIN LATERAL (
        SELECT r.value, r.at FROM lines_reading r
        WHERE r.line_id = l.id AND r.what = 'snow_depth_m' AND r.at <= %(moment)s
        ORDER BY r.at DESC LIMIT 1) snow ON TRUE
    LEFT JOIN LATERAL (
        SELECT r.value, r.at FROM lines_reading r
        WHERE r.line_id = l.id AND r.what = 'water_level_m' AND r.at <= %(moment)s
        ORDER BY r.at DESC LIMIT 1) water ON TRUE
    LEFT JOIN LATERAL (
        SELECT r.value, r.at FROM lines_reading r
        WHERE r.line_id = l.id AND r.what = 'ice_m' AND r.at <= %(moment)s
        ORDER BY r.at DESC LIMIT 1) ice ON TRUE
    WHERE l.team_id = %(team)s
      AND l.id IN (SELECT s.line_id FROM standing_setstate s WHERE s.set_id = ANY (%(sets)s))
), licences AS MATERIALIZED (
    SELECT p.id, p.kind, p.holder_id, p.valid_until,
           (%(yesterday)s::date BETWEEN p.valid_from AND p.valid_until)::int
               + 2 * (%(today)s::date BETWEEN p.valid_from AND p.valid_until)::int
               + 4 * (%(tomorrow)s::date BETWEEN p.valid_from AND p.valid_until)::int AS valid
    FROM people_licence p WHERE p.team_id = %(team)s
), papers AS MATERIALIZED (
    SELECT p.licence_id, p.agent_id, bit_or(
               (%(yesterday)s::date BETWEEN p.valid_from AND p.valid_until)::int
               + 2 * (%(today)s::date BETWEEN p.valid_from AND p.valid_until)::int
               + 4 * (%(tomorrow)s::date BETWEEN p.valid_from AND p.valid_until)::int) AS tend
    FROM people_papers p
    WHERE p.team_id = %(team)s AND 'tend' = ANY (p.may) GROUP BY p.licence_id, p.agent_id
), people AS MATERIALIZED (
    -- Instructors and managers, whose word a sign-off is, are taken to have every one.
    SELECT m.id, CASE WHEN m.role <> 'member' THEN '*' ELSE coalesce((
               SELECT string_agg(DISTINCT k.code, ',' ORDER BY k.code)
               FROM people_signoff o JOIN people_skill k ON k.id = o.skill_id
               WHERE o.member_id = m.id AND o.given_at <= %(moment)s
                 AND (o.ended_at IS NULL OR o.ended_at > %(moment)s)), '') END AS skills,
           m.role <> 'member' AS leads
    FROM people_membership m WHERE m.team_id = %(team)s
), lives AS MATERIALIZED (
    SELECT EXISTS (SELECT FROM gear_partkind b
                   WHERE b.team_id = %(team)s AND b.life_nights IS NOT NULL) AS known
), wanted AS MATERIALIZED (
    SELECT n.kind_id, bit_or(1 << (array_position(%(roles)s::text[], n.role) - 1)) AS roles
    FROM gear_kindpart n WHERE n.team_id = %(team)s AND n.needed GROUP BY n.kind_id
)
SELECT
    s.set_id,
    concat_ws(E'\x1f', s.device_class, s.action, s.placement, array_to_string(s.zone_codes, ','),
              q.kind, (
                  SELECT coalesce(string_agg(a.code, ',' ORDER BY a.code), '')
                  FROM lines_target g JOIN rulebook_species a ON a.id = g.species_id
                  WHERE g.set_id = s.set_id),
              l.tz),
    (extract(epoch FROM s.placed_at) * 1000000)::bigint,
    s.last_found,
    k.jaw_spread_m,
    coalesce(y.present, 0), coalesce(w.roles, 0), coalesce(y.ever, 0), coalesce(y.spent, FALSE),
    y.cable_n, y.lock_n, y.swivel_n, y.support_n, y.breakaway_n, y.stop_n, y.cable_m,
    s.loop_diameter_m, s.loop_height_m, h.snow_then_m,
    coalesce((extract(epoch FROM h.at) * 1000000)::bigint, -1),
    CASE WHEN c.snow_at > coalesce(l.snow_at, '-infinity') THEN c.snow_depth_m ELSE l.snow_m END,
    coalesce((extract(epoch FROM greatest(c.snow_at, l.snow_at)) * 1000000)::bigint, -1),
    coalesce(c.water_depth_m, s.water_depth_m),
    CASE WHEN coalesce(c.water_depth_m, s.water_depth_m) IS NOT NULL THEN (
     SELECT r.value FROM lines_reading r
     WHERE r.line_id = s.line_id AND r.what = 'water_level_m'
       AND r.at <= coalesce(c.water_at, d0.at) ORDER BY r.at DESC LIMIT 1)
    WHEN s.loop_height_m IS NOT NULL AND s.placement <> 'land' THEN (
     SELECT r.value FROM lines_reading r
     WHERE r.line_id = s.line_id AND r.what = 'water_level_m'
       AND r.at <= h.at ORDER BY r.at DESC LIMIT 1) END,
    l.water_m, coalesce((extract(epoch FROM l.water_at) * 1000000)::bigint, -1),
    l.ice_m, coalesce((extract(epoch FROM l.ice_at) * 1000000)::bigint, -1),
    s.anchoring <> '',
    s.tag <> '',
    s.bait <> '' AND s.bait_in_view IS TRUE,
    f.trail, f.road, f.dwelling, f.water, f.boundary,
    EXISTS (SELECT FROM land_permission e WHERE e.team_id = %(team)s),
    coalesce(e.held, 0), coalesce(e.closed_to, 0), coalesce(e.any_time, FALSE),
    coalesce((extract(epoch FROM e.ended) / 86400)::int, -1),
    q.valid, (extract(epoch FROM q.valid_until) / 86400)::int,
    coalesce(u.code, ''), r.skills, r.leads, r.id = ANY (%(away)s::uuid[]),
    q.holder_id = r.id, coalesce(pa.tend, 0),
    CASE WHEN m.leads THEN '*' ELSE coalesce((
        SELECT string_agg(DISTINCT b.code, ',' ORDER BY b.code)
        FROM people_signoff o JOIN people_skill b ON b.id = o.skill_id
        WHERE o.member_id = m.id AND o.given_at <= s.placed_at
          AND (o.ended_at IS NULL OR o.ended_at > s.placed_at)), '') END,
    coalesce(c.supervision, ''), coalesce(c.skills, '*'),
    coalesce((extract(epoch FROM c.at) * 1000000)::bigint, -1),
    coalesce((extract(epoch FROM v.due_at) * 1000000)::bigint, %(never)s),
    v.rule_id,
    coalesce(n.closed, ''), coalesce((extract(epoch FROM n.pull_by) * 1000000)::bigint, -1),
    coalesce((extract(epoch FROM n.turns) * 1000000)::bigint, %(never)s),
    (SELECT coalesce(sum(i.others), 0)::int FROM standing_interval i
     WHERE i.set_id = s.set_id AND i.till_at > %(since)s AND i.till_at <= %(moment)s),
    coalesce(old.role, ''), old.nights, old.life_nights,
    (SELECT id FROM version),
    t.rule_stamp
FROM standing_setstate s
JOIN people_team t ON t.id = s.team_id
JOIN lines l ON l.id = s.line_id
JOIN lines_set x ON x.id = s.set_id
JOIN licences q ON q.id = x.licence_id
JOIN gear_device g ON g.id = s.device_id
JOIN gear_devicekind k ON k.id = g.kind_id
LEFT JOIN people_skill u ON u.id = k.skill_id
LEFT JOIN wanted w ON w.kind_id = k.id
JOIN people r ON r.id = CASE WHEN %(covers)s::uuid IS NOT NULL AND s.responsible_id = ANY (%(away)s::uuid[])
    THEN %(covers)s::uuid ELSE s.responsible_id END
JOIN people m ON m.id = x.placed_by_id
LEFT JOIN papers pa ON pa.licence_id = x.licence_id AND pa.agent_id = r.id
CROSS JOIN reach
CROSS JOIN lives
LEFT JOIN duties_duty v
    ON v.set_id = s.set_id AND v.kind = 'check' AND v.state IN ('open', 'overdue')
LEFT JOIN LATERAL (
    -- What the device is built of now, what it ever was, and whether its cable was spent.
    SELECT bit_or(z.bit) FILTER (WHERE z.now) AS present, bit_or(z.bit) AS ever,
           bool_or(z.role = 'cable' AND NOT z.now AND EXISTS (
               SELECT FROM standing_partstay o
               WHERE o.part_id = z.part_id AND upper_inf(o.during) AND o.state = 'spent')) AS spent,
           min(z.load) FILTER (WHERE z.now AND z.role = 'cable') AS cable_n,
           min(z.load) FILTER (WHERE z.now AND z.role = 'lock') AS lock_n,
           min(z.load) FILTER (WHERE z.now AND z.role = 'swivel') AS swivel_n,
           min(z.load) FILTER (WHERE z.now AND z.role = 'support') AS support_n,
           max(z.load) FILTER (WHERE z.now AND z.role = 'breakaway') AS breakaway_n,
           min(z.load) FILTER (WHERE z.now AND z.role = 'stop') AS stop_n,
           min(z.diameter_m) FILTER (WHERE z.now AND z.role = 'cable') AS cable_m
    FROM (
        SELECT j.part_id, b.role, b.breaking_load_n AS load, b.diameter_m,
               1 << (array_position(%(roles)s::text[], b.role) - 1) AS bit,
               upper_inf(j.during) AS now
        FROM standing_partstay j
        JOIN gear_part i ON i.id = j.part_id
        JOIN gear_partkind b ON b.id = i.kind_id
        WHERE j.device_id = s.device_id
    ) z
) y ON TRUE
LEFT JOIN LATERAL (
    -- The part that is furthest past its service life: nights of its device in sets, while in it.
    SELECT b.role, n.nights, b.life_nights
    FROM standing_partstay j
    JOIN gear_part i ON i.id = j.part_id
    JOIN gear_partkind b ON b.id = i.kind_id
    CROSS JOIN LATERAL (
        SELECT sum(extract(epoch FROM upper(d.during) - lower(d.during)))::float8 / 86400 AS nights
        FROM standing_partstay o
        JOIN standing_setperiod w ON w.device_id = o.device_id AND w.during && o.during
        CROSS JOIN LATERAL (
            SELECT o.during * w.during * tstzrange(NULL, %(moment)s::timestamptz) AS during) d
        WHERE o.part_id = j.part_id AND o.state = 'built_in'
    ) n
    WHERE lives.known AND j.device_id = s.device_id AND upper_inf(j.during)
      AND n.nights >= b.life_nights
    ORDER BY n.nights - b.life_nights DESC, b.role LIMIT 1
) old ON TRUE
LEFT JOIN LATERAL (
    SELECT a.at FROM lines_arrangement a
    WHERE s.water_depth_m IS NOT NULL AND a.set_id = s.set_id AND a.water_depth_m IS NOT NULL
    ORDER BY a.at DESC LIMIT 1
) d0 ON TRUE
LEFT JOIN LATERAL (
    -- The last look in effect, and what the last few measured.
    SELECT (array_agg(b.at ORDER BY b.at DESC))[1] AS at,
           (array_agg(b.supervision ORDER BY b.at DESC))[1] AS supervision,
           (array_agg(o.skills ORDER BY b.at DESC))[1] AS skills,
           (array_agg(b.snow_depth_m ORDER BY b.at DESC) FILTER (WHERE b.snow_depth_m IS NOT NULL))[1]
               AS snow_depth_m,
           max(b.at) FILTER (WHERE b.snow_depth_m IS NOT NULL) AS snow_at,
           (array_agg(b.water_depth_m ORDER BY b.at DESC)
               FILTER (WHERE b.water_depth_m IS NOT NULL))[1] AS water_depth_m,
           max(b.at) FILTER (WHERE b.water_depth_m IS NOT NULL) AS water_at
    FROM (
        SELECT b.at, b.by_id, b.supervision, b.snow_depth_m, b.water_depth_m
        FROM lines_check b
        WHERE s.last_check_at IS NOT NULL AND b.set_id = s.set_id AND b.at >= s.placed_at
          AND b.at <= %(moment)s
          AND b.counts AND NOT b.withdraws
          AND NOT EXISTS (SELECT FROM lines_check o WHERE o.corrects_id = b.id)
        ORDER BY b.at DESC, b.id DESC LIMIT 8
    ) b JOIN people o ON o.id = b.by_id
) c ON TRUE
LEFT JOIN LATERAL (
    -- When the loop's height was last set (without a loop: when the set was last arranged or seen),
    -- and the snow then: as noted, or as read on the line.
    SELECT n.at, coalesce(n.snow_depth_m, (
        SELECT o.value FROM lines_reading o
        WHERE o.line_id = s.line_id AND o.what = 'snow_depth_m' AND o.at <= n.at
        ORDER BY o.at DESC LIMIT 1)) AS snow_then_m
    FROM (
        SELECT a.at, a.snow_depth_m FROM (
            SELECT a.at, a.snow_depth_m
            FROM lines_arrangement a LEFT JOIN lines_check b ON b.id = a.check_made_id
            WHERE a.set_id = s.set_id AND (a.loop_height_m IS NOT NULL OR s.loop_height_m IS NULL)
              AND (b.id IS NULL OR NOT b.withdraws AND NOT EXISTS (
                  SELECT FROM lines_check o WHERE o.corrects_id = b.id))
            ORDER BY a.at DESC, a.id DESC LIMIT 1
        ) a
        UNION ALL
        SELECT c.at, CASE WHEN c.snow_at = c.at THEN c.snow_depth_m END
        WHERE s.loop_height_m IS NULL AND c.at IS NOT NULL
        ORDER BY at DESC LIMIT 1
    ) n
) h ON TRUE
LEFT JOIN LATERAL (
    SELECT min(z.far) FILTER (WHERE z.kind = 'trail') AS trail,
           min(z.far) FILTER (WHERE z.kind = 'road') AS road,
           min(z.far) FILTER (WHERE z.kind = 'dwelling') AS dwelling,
           min(z.far) FILTER (WHERE z.kind = 'water') AS water,
           min(z.far) FILTER (WHERE z.kind = 'boundary') AS boundary
    FROM (
        SELECT o.kind, ST_Distance(o.shape, s.place) AS far
        FROM land_feature o
        WHERE reach.m > 0 AND o.team_id = %(team)s AND ST_DWithin(o.shape, s.place, reach.m)
    ) z
) f ON TRUE
LEFT JOIN LATERAL (
    -- Leave that covers the place: on which days it holds for who is responsible, or for others.
    SELECT bit_or(z.mask) FILTER (WHERE z.open) AS held,
           bit_or(z.mask) FILTER (WHERE NOT z.open) AS closed_to,
           bool_or(TRUE) AS any_time, max(z.valid_until) AS ended
    FROM (
        SELECT o.valid_until,
               o.members = '{}' OR r.id = ANY (o.members) AS open,
               CASE WHEN o.id = ANY (%(lapsed)s::uuid[]) THEN 0 ELSE
                   (%(yesterday)s::date BETWEEN o.valid_from AND o.valid_until)::int
                   + 2 * (%(today)s::date BETWEEN o.valid_from AND o.valid_until)::int
                   + 4 * (%(tomorrow)s::date BETWEEN o.valid_from AND o.valid_until)::int
               END AS mask
        FROM land_permission o
        WHERE o.team_id = %(team)s AND ST_Covers(o.parcel, s.place)
    ) z
) e ON TRUE
LEFT JOIN LATERAL (
    -- Targets that a notice has closed here, and when that next turns.
    SELECT string_agg(DISTINCT z.code, ',' ORDER BY z.code)
               FILTER (WHERE z.from_at <= %(moment)s AND z.till > %(moment)s) AS closed,
           min(z.pull_by) FILTER (WHERE z.from_at <= %(moment)s AND z.till > %(moment)s) AS pull_by,
           min(CASE WHEN z.from_at > %(moment)s THEN z.from_at ELSE z.till END)
               FILTER (WHERE z.till > %(moment)s AND z.till < 'infinity' OR z.from_at > %(moment)s)
               AS turns
    FROM (
        SELECT o.code, o.from_at, o.pull_by, o.till
        FROM notices o
        WHERE (o.zone_code = '' OR o.zone_code = ANY (s.zone_codes)) AND EXISTS (
            SELECT FROM lines_target j
            WHERE j.set_id = s.set_id AND j.species_id = o.species_id)
    ) z
) n ON TRUE
WHERE s.team_id = %(team)s AND s.set_id = ANY (%(sets)s) AND s.active
