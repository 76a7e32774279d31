-- A closed species is open again: what the closure asked is asked no longer.
WITH gone AS (
    UPDATE duties_duty d SET state = 'cancelled', next_at = NULL
    WHERE d.team_id = %(team)s AND d.kind = 'pull' AND d.state IN ('open', 'overdue')
      AND d.asked = %(asked)s
    RETURNING d.id, d.due_at
)
INSERT INTO duties_transition (id, team_id, duty_id, was, now, at, noticed_at, due_at)
SELECT uuid7(), %(team)s, o.id, CASE WHEN o.due_at <= %(moment)s THEN 'overdue' ELSE 'open' END,
       'cancelled', %(moment)s, %(moment)s, o.due_at
FROM gone o
