-- The least that a replay of part facts can be: each beside the next of its part, into a bare table.
CREATE TEMP TABLE bare_stays ON COMMIT DROP AS
SELECT f.id, f.part_id, f.state, f.device_id,
       tstzrange(f.at, lead(f.at) OVER (PARTITION BY f.part_id ORDER BY f.at, f.id)) AS during
FROM gear_partfact f WHERE f.team_id = %(team)s
