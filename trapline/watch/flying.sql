-- Notices to send: queued ones whose time has come, and ones whose sender died on the way.
-- What was done in the meantime is not sent.
WITH owed AS (
    SELECT n.id FROM duties_notice n
    WHERE (n.state = 'queued' AND n.retry_after <= %(moment)s)
       OR (n.state = 'in_flight' AND n.flying_since <= %(lost_before)s)
    ORDER BY n.retry_after
    LIMIT %(batch)s
    FOR NO KEY UPDATE SKIP LOCKED
)
UPDATE duties_notice n SET
    state = CASE WHEN d.state IN ('done', 'cancelled') THEN 'moot' ELSE 'in_flight' END,
    flying_since = CASE WHEN d.state IN ('done', 'cancelled') THEN NULL ELSE %(moment)s END,
    attempts = n.attempts + CASE WHEN d.state IN ('done', 'cancelled') THEN 0 ELSE 1 END
FROM owed o, duties_duty d
WHERE n.id = o.id AND d.id = n.duty_id
RETURNING n.id, n.team_id, n.state
