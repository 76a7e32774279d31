-- Intervals in effect by line, set, device, placement, bait, species aimed at, month or season:
-- one row a group, its intervals as arrays in order of time.
SELECT g.key, min(g.label), count(*), sum(i.nights), sum(i.targets), sum(i.others),
       count(*) FILTER (WHERE i.found = 'sprung_empty' AND c.sign IN ('target', 'other')),
       count(*) FILTER (WHERE i.found = 'sprung_empty' AND c.sign IN ('unknown', '')),
       sum(k.animals), sum(k.alive),
       percentile_cont(0.5) WITHIN GROUP (ORDER BY i.till_at - i.from_at)
           FILTER (WHERE i.targets + i.others > 0),
       array_agg(i.nights ORDER BY i.till_at, i.id),
       array_agg(i.found ORDER BY i.till_at, i.id),
       array_agg(i.targets > 0 ORDER BY i.till_at, i.id),
       array_agg(i.set_id ORDER BY i.till_at, i.id),
       array_agg(c.local_date ORDER BY i.till_at, i.id)
FROM standing_interval i
JOIN lines_check c ON c.id = i.id
JOIN lines_set x ON x.id = i.set_id
JOIN lines_line n ON n.id = x.line_id
JOIN standing_setstate s ON s.set_id = i.set_id
JOIN gear_devicekind d ON d.id = i.device_kind_id
LEFT JOIN standing_setperiod p ON p.set_id = i.set_id AND p.during @> i.from_at
CROSS JOIN LATERAL (
    SELECT count(*) AS animals, count(*) FILTER (WHERE a.alive_on_arrival) AS alive
    FROM lines_catch a WHERE a.check_made_id = i.id
) k
CROSS JOIN LATERAL (
    SELECT e.code AS key, e.name AS label
    FROM lines_target t JOIN rulebook_species e ON e.id = t.species_id
    WHERE %(by)s = 'species' AND t.set_id = i.set_id
    UNION ALL
    SELECT CASE %(by)s
               WHEN 'line' THEN n.id::text
               WHEN 'set' THEN x.id::text
               WHEN 'device' THEN d.id::text
               WHEN 'placement' THEN coalesce(p.placement, s.placement)
               WHEN 'bait' THEN s.bait
               WHEN 'month' THEN to_char(c.local_date, 'YYYY-MM')
               -- A season is told by the year in which its July lies.
               ELSE (extract(year FROM c.local_date - interval '6 months'))::int::text
           END,
           CASE %(by)s
               WHEN 'line' THEN n.name
               WHEN 'set' THEN n.name || ' ' || x.label
               WHEN 'device' THEN d.name
               WHEN 'placement' THEN coalesce(p.placement, s.placement)
               WHEN 'bait' THEN s.bait
               WHEN 'month' THEN to_char(c.local_date, 'YYYY-MM')
               ELSE (extract(year FROM c.local_date - interval '6 months'))::int::text
           END
    WHERE %(by)s <> 'species'
) g
WHERE i.team_id = %(team)s AND i.till_at > i.from_at
  AND (%(first)s::date IS NULL OR c.local_date >= %(first)s)
  AND (%(last)s::date IS NULL OR c.local_date <= %(last)s)
  AND (%(member)s::uuid IS NULL OR i.by_id = %(member)s)
GROUP BY g.key
ORDER BY min(lower(g.label)), g.key
LIMIT %(most)s
