-- What effort gave by line, set, device, placement, bait, species aimed at, month, season or member:
-- a row a group, or with `keys` a row a group and set of the groups named, its intervals packed; with
-- `sets` of these sets alone.
-- Read from the tallies; days that no tally holds yet, or holds only as part of a month, are read
-- from the intervals.
WITH looked AS NOT MATERIALIZED (
    SELECT i.set_id, i.day, i.till_at, i.by_id, i.device_kind_id, i.placement, 1 AS looks, i.nights,
           CASE WHEN %(by)s IN ('month', 'season') THEN date_trunc('month', i.day)::date END
               AS month,
           i.targets, i.others, i.alive,
           CASE WHEN i.sign IN ('target', 'other') THEN 1 ELSE 0 END AS escaped,
           CASE WHEN i.found = 'sprung_empty' AND i.sign IN ('unknown', '') THEN 1 ELSE 0 END
               AS unknown,
           CASE WHEN %(keys)s::text[] IS NOT NULL
               THEN float8send(coalesce(i.served, i.nights)) || int4send(i.told) END AS pack
    FROM standing_interval i
    WHERE i.team_id = %(team)s AND i.nights > 0
      AND (%(sets)s::uuid[] IS NULL OR i.set_id = ANY (%(sets)s::uuid[]))
      AND (%(member)s::uuid IS NULL OR i.by_id = %(member)s)
      AND (%(first)s::date IS NULL OR i.day >= %(first)s)
      AND (%(last)s::date IS NULL OR i.day <= %(last)s)
), parts AS (
    SELECT t.set_id, t.month, t.by_id, t.device_kind_id, t.placement, t.looks, t.nights, t.targets,
           t.others, t.alive, t.escaped, t.unknown,
           CASE WHEN %(keys)s::text[] IS NOT NULL THEN t.pack END AS pack, t.revision
    FROM standing_tally t
    JOIN standing_setstate s ON s.set_id = t.set_id
    WHERE t.team_id = %(team)s AND (s.untallied_from IS NULL OR t.month < s.untallied_from)
      AND (%(head)s::date IS NULL OR t.month >= %(head)s)
      AND (%(foot)s::date IS NULL OR t.month < %(foot)s)
      AND (%(member)s::uuid IS NULL OR t.by_id = %(member)s)
      AND (%(sets)s::uuid[] IS NULL OR t.set_id = ANY (%(sets)s::uuid[]))
    UNION ALL  -- what no tally holds yet
    SELECT i.set_id, i.month, i.by_id, i.device_kind_id, i.placement, i.looks, i.nights, i.targets,
           i.others, i.alive, i.escaped, i.unknown, i.pack, NULL
    FROM standing_setstate s
    JOIN looked i ON i.set_id = s.set_id
        AND i.day >= s.untallied_from
        -- A local day and its instants lie within a day of each other: this is for the index.
        AND i.till_at >= s.untallied_from - interval '2 days'
    WHERE s.team_id = %(team)s AND s.untallied_from IS NOT NULL
    UNION ALL  -- what lies before the first whole month
    SELECT i.set_id, i.month, i.by_id, i.device_kind_id, i.placement, i.looks, i.nights, i.targets,
           i.others, i.alive, i.escaped, i.unknown, i.pack, NULL
    FROM standing_setstate s
    JOIN looked i ON i.set_id = s.set_id
        AND i.day < %(head)s AND (s.untallied_from IS NULL OR i.day < s.untallied_from)
        AND i.till_at >= %(first)s::date - interval '2 days'
        AND i.till_at < %(head)s::date + interval '2 days'
    WHERE s.team_id = %(team)s AND %(first)s::date < %(head)s::date
    UNION ALL  -- what lies after the last
    SELECT i.set_id, i.month, i.by_id, i.device_kind_id, i.placement, i.looks, i.nights, i.targets,
           i.others, i.alive, i.escaped, i.unknown, i.pack, NULL
    FROM standing_setstate s
    JOIN looked i ON i.set_id = s.set_id
        AND i.day >= %(foot)s AND (s.untallied_from IS NULL OR i.day < s.untallied_from)
        AND i.till_at >= %(foot)s::date - interval '2 days'
        AND i.till_at < %(last)s::date + interval '3 days'
    WHERE s.team_id = %(team)s AND %(foot)s::date <= %(last)s::date
), sums AS (
    SELECT p.set_id,
           CASE WHEN %(by)s IN ('month', 'season') THEN p.month END AS month,
           CASE WHEN %(by)s = 'member' THEN p.by_id END AS by_id,
           CASE WHEN %(by)s = 'device' THEN p.device_kind_id END AS device_kind_id,
           CASE WHEN %(by)s = 'placement' THEN p.placement END AS placement,
           sum(p.looks) AS looks, sum(p.nights) AS nights, sum(p.targets) AS targets,
           sum(p.others) AS others, sum(p.alive) AS alive, sum(p.escaped) AS escaped,
           sum(p.unknown) AS unknown, count(p.revision) AS tallies,
           sum(p.revision) AS revisions, bool_or(p.revision IS NULL) AS live,
           string_agg(p.pack, ''::bytea) AS pack
    FROM parts p
    GROUP BY 1, 2, 3, 4, 5
), keyed AS (
    SELECT u.*,
           CASE %(by)s
               WHEN 'line' THEN n.id::text
               WHEN 'set' THEN x.id::text
               WHEN 'device' THEN d.id::text
               WHEN 'member' THEN m.id::text
               WHEN 'placement' THEN u.placement
               WHEN 'bait' THEN s.bait
               WHEN 'species' THEN e.code
               WHEN 'month' THEN to_char(u.month, 'YYYY-MM')
               -- A season is told by the year in which its July lies.
               ELSE (extract(year FROM u.month - interval '6 months'))::int::text
           END AS key,
           CASE %(by)s
               WHEN 'line' THEN n.name
               WHEN 'set' THEN n.name || ' ' || x.label
               WHEN 'device' THEN d.name
               WHEN 'member' THEN m.name
               WHEN 'species' THEN e.name
           END AS label
    FROM sums u
    JOIN lines_set x ON x.id = u.set_id
    JOIN lines_line n ON n.id = x.line_id
    JOIN standing_setstate s ON s.set_id = u.set_id
    LEFT JOIN gear_devicekind d ON d.id = u.device_kind_id
    LEFT JOIN people_membership m ON m.id = u.by_id
    LEFT JOIN (lines_target t JOIN rulebook_species e ON e.id = t.species_id)
        ON %(by)s = 'species' AND t.set_id = u.set_id
)
SELECT k.key, coalesce(min(k.label), k.key), sum(k.looks), sum(k.nights), sum(k.targets),
       sum(k.others), sum(k.alive), sum(k.escaped), sum(k.unknown), bool_or(k.live),
       sum(k.tallies), coalesce(sum(k.revisions), 0),
       CASE WHEN %(keys)s::text[] IS NOT NULL THEN k.set_id END AS set_id,
       coalesce(string_agg(k.pack, ''::bytea), ''::bytea)
FROM keyed k
WHERE k.key IS NOT NULL
  AND (%(keys)s::text[] IS NULL OR k.key = ANY (%(keys)s) OR cardinality(%(keys)s::text[]) = 0)
GROUP BY k.key, 13
ORDER BY lower(coalesce(min(k.label), k.key)), k.key, 13
LIMIT %(most)s
