-- The bound's writes: the same rows, nothing weighed.
WITH marked AS (
    UPDATE duties_duty SET state = 'overdue', stage = 2, next_at = due_at + interval '1 hour'
    WHERE id = ANY (%(duties)s) RETURNING id, who_id, due_at
), turned AS (
    INSERT INTO duties_transition (id, team_id, duty_id, was, now, at, noticed_at, due_at)
    SELECT uuid7(), %(team)s, id, 'open', 'overdue', due_at, %(moment)s, due_at FROM marked
)
INSERT INTO duties_notice
    (id, team_id, duty_id, stage, to_id, channel, made_at, due_at, state, attempts, retry_after,
     error)
SELECT uuid7(), %(team)s, id, 2, who_id, 'email', %(moment)s, due_at, 'queued', 0, %(moment)s, ''
FROM marked
ON CONFLICT DO NOTHING
