-- The same stays written by one bare statement into a table with the same keys and constraints: what
-- it costs PostgreSQL to keep, of so many rows, that no part is in two places.
INSERT INTO bench_walled (id, team_id, part_id, during, state, device_id)
SELECT f.id, f.team_id, f.part_id,
       tstzrange(f.at, lead(f.at) OVER (PARTITION BY f.part_id ORDER BY f.at, f.id)), f.state,
       f.device_id
FROM gear_partfact f WHERE f.team_id = %(team)s
