-- One open duty is done.
WITH closed AS (
    UPDATE duties_duty d SET state = 'done', done_at = %(at)s, done_by_id = %(act)s, next_at = NULL
    WHERE d.team_id = %(team)s AND d.id = %(duty)s AND d.state IN ('open', 'overdue')
    RETURNING d.id, d.due_at
)
INSERT INTO duties_transition (id, team_id, duty_id, was, now, at, noticed_at, due_at)
SELECT uuid7(), %(team)s, c.id, CASE WHEN c.due_at <= %(at)s THEN 'overdue' ELSE 'open' END, 'done',
       %(at)s, %(moment)s, c.due_at
FROM closed c
