-- The findings on some sets brought in line with what was found: what is no longer so is closed,
-- what is still so keeps its row (and its acknowledgement), what is new is opened. And when each
-- set is looked at next.
WITH seen AS MATERIALIZED (
    SELECT s.set_id, s.next_us, s.act_id
    FROM unnest(%(sets)s::uuid[], %(next)s::bigint[], %(acts)s::uuid[]) AS s (set_id, next_us, act_id)
), given AS MATERIALIZED (
    SELECT g.set_id, g.code, g.discriminator, g.severity, g.numbers::jsonb AS numbers, g.rule_id
    FROM unnest(
        %(found)s::uuid[], %(codes)s::text[], %(discriminators)s::text[], %(severities)s::text[],
        %(numbers)s::text[], %(rules)s::uuid[]
    ) AS g (set_id, code, discriminator, severity, numbers, rule_id)
), standing AS MATERIALIZED (
    SELECT f.id, f.set_id, f.code, f.discriminator, f.severity, f.numbers, f.rule_id
    FROM findings_finding f
    WHERE f.team_id = %(team)s AND f.set_id = ANY (%(sets)s) AND f.closed_at IS NULL
), compared AS MATERIALIZED (
    SELECT s.id AS old, coalesce(s.set_id, g.set_id) AS of_set, g.set_id, g.code, g.discriminator, g.severity, g.numbers, g.rule_id,
           (s.severity, s.numbers, s.rule_id) IS NOT DISTINCT FROM
               (g.severity, g.numbers, g.rule_id) AS same
    FROM standing s FULL JOIN given g
        ON g.set_id = s.set_id AND g.code = s.code AND g.discriminator = s.discriminator
), closed AS (
    UPDATE findings_finding f
    SET closed_at = greatest(%(moment)s, f.opened_at), closed_by_id = l.act_id
    FROM compared c JOIN seen l ON l.set_id = c.of_set WHERE f.id = c.old AND c.code IS NULL
), changed AS (
    UPDATE findings_finding f SET severity = c.severity, numbers = c.numbers, rule_id = c.rule_id
    FROM compared c WHERE f.id = c.old AND c.code IS NOT NULL AND NOT c.same
), looked AS (
    INSERT INTO findings_look (id, team_id, set_id, stamp, looked_at, next_at)
    SELECT l.set_id, %(team)s, l.set_id, %(stamp)s, %(moment)s,
           to_timestamp(0) + l.next_us * interval '1 microsecond'
    FROM seen l
    ON CONFLICT (set_id) DO UPDATE SET
        stamp = excluded.stamp, looked_at = excluded.looked_at, next_at = excluded.next_at
)
INSERT INTO findings_finding
    (id, team_id, set_id, code, discriminator, severity, numbers, rule_id, opened_at, opened_by_id,
     reason)
SELECT uuid7(), %(team)s, c.set_id, c.code, c.discriminator, c.severity, c.numbers, c.rule_id,
       %(moment)s, l.act_id, ''
FROM compared c JOIN seen l ON l.set_id = c.of_set WHERE c.old IS NULL
