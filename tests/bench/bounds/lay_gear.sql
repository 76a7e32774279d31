-- Facts of so many parts, ten each: bought, then in and out of one device.
WITH kind AS (
    SELECT id FROM gear_partkind WHERE team_id = %(team)s AND role = 'trigger' LIMIT 1
), made AS (
    INSERT INTO gear_part (id, team_id, act_id, at, kind_id, mark)
    SELECT uuid7(), %(team)s, %(act)s, %(at)s, kind.id, ''
    FROM kind, generate_series(1, %(parts)s)
    RETURNING id
)
INSERT INTO gear_partfact (id, team_id, act_id, at, part_id, state, device_id, why)
SELECT uuid7(), %(team)s, %(act)s, %(at)s::timestamptz + n * interval '6 hours', made.id,
       CASE WHEN n %% 2 = 0 THEN 'stock' ELSE 'built_in' END,
       CASE WHEN n %% 2 = 0 THEN NULL ELSE %(device)s::uuid END, ''
FROM made, generate_series(0, 9) n
