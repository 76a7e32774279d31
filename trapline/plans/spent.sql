-- What sets caught with parts of some kinds that one catch spends: a row a kind, season and set.
-- A season is named by the year it begins in.
WITH served AS (
    SELECT p.kind_id, q.set_id, y.during * q.during * tstzrange(NULL, %(moment)s::timestamptz) AS during
    FROM gear_part p
    JOIN standing_partstay y ON y.part_id = p.id AND y.state = 'built_in'
    JOIN standing_setperiod q ON q.device_id = y.device_id AND q.during && y.during
    WHERE p.team_id = %(team)s AND p.kind_id = ANY (%(kinds)s)
), dated AS (
    SELECT s.*, extract(year FROM lower(s.during) - %(season_begins)s::interval)::integer AS season,
           (SELECT count(*) FROM standing_interval i
            WHERE i.set_id = s.set_id AND i.targets + i.others > 0
              AND i.till_at > lower(s.during) AND i.till_at <= upper(s.during)) AS catches
    FROM served s
    WHERE NOT isempty(s.during)
)
SELECT kind_id, season, set_id,
       (sum(extract(epoch FROM upper(during) - lower(during))) / 86400.0)::float,
       sum(catches)::integer
FROM dated
GROUP BY kind_id, season, set_id
ORDER BY kind_id, season, set_id
