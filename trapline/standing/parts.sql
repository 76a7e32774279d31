-- Where some parts were and are, made again from what happened to them. What a check did to them
-- falls away when the check is corrected or withdrawn. Only what differs is written: a stay that
-- stands as it should is left alone.
WITH wanted AS MATERIALIZED (
    SELECT f.id, f.part_id, tstzrange(f.at, f.till) AS during, f.state, f.device_id
    FROM (
        SELECT p.*, lead(p.at) OVER (PARTITION BY p.part_id ORDER BY p.at, p.id) AS till
        FROM gear_partfact p
        WHERE p.team_id = %(team)s AND p.part_id = ANY (%(parts)s) AND NOT EXISTS (
            SELECT FROM lines_check c JOIN lines_check x ON x.corrects_id = c.id
            WHERE c.act_id = p.act_id)
    ) f
    WHERE f.till IS NULL OR f.at < f.till
), there AS MATERIALIZED (
    SELECT y.id, y.part_id, y.during, y.state, y.device_id
    FROM standing_partstay y
    WHERE y.team_id = %(team)s AND y.part_id = ANY (%(parts)s)
), differing AS MATERIALIZED (
    SELECT w.id, w.part_id, w.during, w.state, w.device_id, t.id AS old
    FROM wanted w FULL JOIN there t ON t.id = w.id
    WHERE (t.part_id, t.during, t.state, t.device_id)
          IS DISTINCT FROM (w.part_id, w.during, w.state, w.device_id)
), gone AS (
    DELETE FROM standing_partstay y USING differing d WHERE y.id = d.old RETURNING 1
)
INSERT INTO standing_partstay (id, team_id, part_id, during, state, device_id)
SELECT d.id, %(team)s, d.part_id, d.during, d.state, d.device_id
FROM differing d
WHERE d.id IS NOT NULL AND (SELECT count(*) FROM gone) >= 0
