-- A visit between two others fell away with its check: the duty it met was done by the next visit,
-- and the duty that counted from it was never asked.
WITH after AS (
    SELECT d.id, d.due_at, d.done_at, d.done_by_id
    FROM duties_duty d
    WHERE d.team_id = %(team)s AND d.set_id = %(set)s AND d.kind = 'check' AND d.state = 'done'
      AND d.basis_at = %(at)s
    ORDER BY d.done_at DESC LIMIT 1
    FOR NO KEY UPDATE
), unasked AS (
    UPDATE duties_duty d SET state = 'cancelled', done_at = NULL, done_by_id = NULL
    FROM after a WHERE d.id = a.id
    RETURNING d.id, a.due_at
), met AS (
    UPDATE duties_duty d SET done_at = a.done_at, done_by_id = a.done_by_id
    FROM after a
    WHERE d.team_id = %(team)s AND d.set_id = %(set)s AND d.kind = 'check' AND d.state = 'done'
      AND d.done_at = %(at)s AND d.id <> a.id
    RETURNING d.id, d.due_at, d.done_at
)
INSERT INTO duties_transition (id, team_id, duty_id, was, now, at, noticed_at, due_at)
SELECT uuid7(), %(team)s, u.id, 'done', 'cancelled', %(moment)s::timestamptz,
       %(moment)s::timestamptz, u.due_at
FROM unasked u
UNION ALL
SELECT uuid7(), %(team)s, m.id, 'done', 'done', m.done_at,
       %(moment)s::timestamptz, m.due_at
FROM met m
