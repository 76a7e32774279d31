-- What each part has served until it failed, or until now: from where it was (stays), how the device
-- it was in stood (periods), and what each look found (intervals). A look at the end of a stay or a
-- period belongs to it: the animal that spent the cable was caught by that cable.
WITH parts AS (
    SELECT p.id, p.kind_id, p.mark
    FROM gear_part p
    WHERE p.team_id = %(team)s AND (%(kinds)s::uuid[] IS NULL OR p.kind_id = ANY (%(kinds)s))
), ended AS (
    SELECT y.part_id, min(lower(y.during)) AS at
    FROM standing_partstay y JOIN parts p ON p.id = y.part_id
    WHERE y.team_id = %(team)s AND (y.state = 'broken' OR y.state = 'retired' AND EXISTS (
        SELECT FROM gear_partfact f
        WHERE f.part_id = y.part_id AND f.at = lower(y.during) AND f.why = 'worn'))
    GROUP BY y.part_id
), stays AS (
    SELECT y.part_id, y.device_id,
           y.during * tstzrange(NULL, least(e.at, %(moment)s::timestamptz)) AS during
    FROM standing_partstay y
    JOIN parts p ON p.id = y.part_id
    LEFT JOIN ended e ON e.part_id = p.id
    WHERE y.team_id = %(team)s AND y.state = 'built_in'
), served AS (
    SELECT s.part_id, q.set_id, s.during * q.during AS during,
           q.placement IN ('water_edge', 'submersion', 'under_ice') AS wet
    FROM stays s JOIN standing_setperiod q ON q.device_id = s.device_id AND q.during && s.during
), nights AS (
    SELECT s.part_id, sum(n.nights) AS nights, coalesce(sum(n.nights) FILTER (WHERE s.wet), 0) AS wet
    FROM served s CROSS JOIN LATERAL (
        SELECT extract(epoch FROM upper(s.during) - lower(s.during)) / 86400.0 AS nights) n
    GROUP BY s.part_id
), seasons AS (
    SELECT s.part_id, count(DISTINCT y) AS seasons, count(DISTINCT y) FILTER (WHERE s.wet) AS wet
    FROM served s CROSS JOIN LATERAL generate_series(
        extract(year FROM lower(s.during) - %(season_begins)s::interval)::integer,
        extract(year FROM upper(s.during) - %(season_begins)s::interval)::integer) y
    GROUP BY s.part_id
), looks AS (
    SELECT s.part_id,
           count(*) FILTER (WHERE i.found IN ('sprung_empty', 'animal')) AS springings,
           sum(i.targets + i.others) AS catches,
           coalesce(sum(i.targets + i.others) FILTER (WHERE s.wet), 0) AS wet_catches
    FROM served s
    JOIN standing_interval i ON i.set_id = s.set_id
        AND i.till_at > lower(s.during) AND i.till_at <= upper(s.during)
    GROUP BY s.part_id
)
SELECT p.id, p.kind_id, p.mark, y.state, lower(y.during), y.device_id,
       coalesce(n.nights, 0)::float, coalesce(n.wet, 0)::float, coalesce(l.springings, 0),
       coalesce(l.catches, 0), coalesce(l.wet_catches, 0), coalesce(z.seasons, 0),
       coalesce(z.wet, 0), e.at
FROM parts p
LEFT JOIN standing_partstay y ON y.part_id = p.id AND upper_inf(y.during)
LEFT JOIN ended e ON e.part_id = p.id
LEFT JOIN nights n ON n.part_id = p.id
LEFT JOIN seasons z ON z.part_id = p.id
LEFT JOIN looks l ON l.part_id = p.id
ORDER BY p.kind_id, p.mark, p.id
