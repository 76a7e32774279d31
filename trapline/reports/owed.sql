-- The next file that a worker is to make, taken by one worker at a time: one that waits, or one
-- whose worker has not been heard of for too long. Given up after so many attempts.
UPDATE reports_run SET state = 'running', taken_at = %(moment)s, attempts = attempts + 1,
       pages_done = 0
WHERE id = (
    SELECT r.id FROM reports_run r
    WHERE r.state IN ('waiting', 'running') AND r.attempts < %(most)s
      AND (r.state = 'waiting' OR r.taken_at < %(lost_before)s)
    ORDER BY r.asked_at
    LIMIT 1
    FOR NO KEY UPDATE SKIP LOCKED
)
RETURNING id, team_id, attempts
