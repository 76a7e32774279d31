-- A check that came in late lies before the one that closed a duty: the duty was done then.
WITH earlier AS (
    UPDATE duties_duty d SET done_at = %(at)s, done_by_id = %(act)s
    WHERE d.team_id = %(team)s AND d.set_id = %(set)s AND d.kind = 'check' AND d.state = 'done'
      AND d.basis_at < %(at)s AND d.done_at > %(at)s
    RETURNING d.id, d.due_at
)
INSERT INTO duties_transition (id, team_id, duty_id, was, now, at, noticed_at, due_at)
SELECT uuid7(), %(team)s, e.id, 'done', 'done', %(at)s, %(moment)s, e.due_at FROM earlier e
