-- Where some parts were and are, made again from what happened to them. What a check did to them
-- falls away when the check is corrected or withdrawn.
WITH gone AS (
    DELETE FROM standing_partstay WHERE team_id = %(team)s AND part_id = ANY (%(parts)s) RETURNING 1
)
INSERT INTO standing_partstay (id, team_id, part_id, during, state, device_id)
SELECT f.id, f.team_id, f.part_id, tstzrange(f.at, f.till), f.state, f.device_id
FROM (
    SELECT p.*, lead(p.at) OVER (PARTITION BY p.part_id ORDER BY p.at, p.id) AS till
    FROM gear_partfact p
    WHERE p.team_id = %(team)s AND p.part_id = ANY (%(parts)s) AND NOT EXISTS (
        SELECT FROM lines_check c JOIN lines_check x ON x.corrects_id = c.id
        WHERE c.act_id = p.act_id)
) f
WHERE (SELECT count(*) FROM gone) >= 0 AND (f.till IS NULL OR f.at < f.till)
