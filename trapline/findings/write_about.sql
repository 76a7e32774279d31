-- The findings of some codes about licences, zones and the team's take, brought in line with what was
-- found.
WITH given AS MATERIALIZED (
    SELECT g.code, g.severity, g.licence_id, g.zone_code, g.species_id, g.discriminator,
           g.numbers::jsonb AS numbers, g.rule_id
    FROM unnest(
        %(codes)s::text[], %(severities)s::text[], %(licences)s::uuid[], %(zones)s::text[],
        %(species)s::uuid[], %(discriminators)s::text[], %(numbers)s::text[], %(rules)s::uuid[]
    ) AS g (code, severity, licence_id, zone_code, species_id, discriminator, numbers, rule_id)
), compared AS MATERIALIZED (
    SELECT s.id AS old, g.code, g.severity, g.licence_id, g.zone_code, g.species_id,
           g.discriminator, g.numbers, g.rule_id,
           (s.severity, s.numbers, s.rule_id)
               IS NOT DISTINCT FROM (g.severity, g.numbers, g.rule_id) AS same
    FROM (
        SELECT f.* FROM findings_finding f
        WHERE f.team_id = %(team)s AND f.set_id IS NULL AND f.closed_at IS NULL
          AND f.code = ANY (%(looked_for)s)
    ) s
    FULL JOIN given g
        ON g.code = s.code AND g.discriminator = s.discriminator
        AND coalesce(g.licence_id::text, g.zone_code, g.species_id::text)
            = coalesce(s.licence_id::text, s.zone_code, s.species_id::text)
), closed AS (
    UPDATE findings_finding f SET closed_at = greatest(%(moment)s, f.opened_at)
    FROM compared c WHERE f.id = c.old AND c.code IS NULL
), changed AS (
    UPDATE findings_finding f
    SET severity = c.severity, numbers = c.numbers, rule_id = c.rule_id
    FROM compared c WHERE f.id = c.old AND c.code IS NOT NULL AND NOT c.same
)
INSERT INTO findings_finding
    (id, team_id, licence_id, zone_code, species_id, code, discriminator, severity, numbers,
     rule_id, opened_at, reason)
SELECT uuid7(), %(team)s, c.licence_id, c.zone_code, c.species_id, c.code,
       c.discriminator, c.severity, c.numbers, c.rule_id, %(moment)s, ''
FROM compared c WHERE c.old IS NULL
ON CONFLICT DO NOTHING
