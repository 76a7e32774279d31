-- What was said of one kind of device or part, each time whole, the first first; and who said it.
WITH acts AS MATERIALIZED (
    SELECT a.id, a.acted_at, a.acted_by_id, a.received_at, a.body
    FROM journal_act a
    WHERE a.team_id = %(team)s AND a.kind IN ('name_device_kind', 'name_part_kind')
      AND a.state = 'applied'
)
SELECT a.acted_at, coalesce(m.name, ''), said.body::text
FROM acts a
CROSS JOIN LATERAL (SELECT convert_from(a.body, 'UTF8')::jsonb -> 'body' AS body) said
LEFT JOIN people_membership m ON m.id = a.acted_by_id
WHERE said.body ->> 'kind' = %(kind)s::text
ORDER BY a.received_at, a.id
