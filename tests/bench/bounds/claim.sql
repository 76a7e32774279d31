-- The bound's claim: the same batch, by hand.
SELECT id, set_id, due_at FROM duties_duty
WHERE team_id = %(team)s AND state IN ('open', 'overdue') AND next_at <= %(moment)s
ORDER BY next_at LIMIT %(batch)s
FOR NO KEY UPDATE SKIP LOCKED
