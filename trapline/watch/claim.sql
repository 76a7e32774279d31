-- A batch of a team's duties whose moment has come, each taken by one sweep at a time.
SELECT d.id, d.kind, d.set_id, d.due_at
FROM duties_duty d
WHERE d.team_id = %(team)s AND d.state IN ('open', 'overdue') AND d.next_at <= %(moment)s
ORDER BY d.next_at
LIMIT %(batch)s
FOR NO KEY UPDATE OF d SKIP LOCKED
