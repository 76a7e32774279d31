-- The open renewal duty of some permissions, brought in line with their dates. A later end by an
-- act closes the duty and opens the next; another number of days or an earlier end moves it; no due
-- moment (withdrawn) ends it. One whose last day has passed is asked for no more than it was.
WITH given AS (
    SELECT * FROM unnest(%(permissions)s::uuid[], %(due)s::timestamptz[], %(opens)s::boolean[])
        AS g (permission_id, due_at, opens)
), first AS (
    SELECT min(s.offset_s) AS s FROM duties_stage s
    WHERE s.team_id = %(team)s AND s.kind = 'renew'
), standing AS (
    SELECT d.id, d.stage, d.state AS was, d.due_at AS was_due, g.*,
           %(act)s::uuid IS NOT NULL AND g.due_at > d.due_at AS renewed
    FROM given g
    JOIN duties_duty d ON d.permission_id = g.permission_id AND d.kind = 'renew'
        AND d.state IN ('open', 'overdue')
    WHERE d.team_id = %(team)s AND g.due_at IS DISTINCT FROM d.due_at
), closed AS (
    UPDATE duties_duty d SET
        state = CASE WHEN s.renewed THEN 'done' ELSE 'cancelled' END,
        done_at = CASE WHEN s.renewed THEN %(at)s::timestamptz END,
        done_by_id = CASE WHEN s.renewed THEN %(act)s::uuid END,
        next_at = NULL
    FROM standing s
    WHERE d.id = s.id AND (s.renewed OR s.due_at IS NULL OR s.stage > 0)
    RETURNING d.id, d.permission_id, s.was, d.state AS now, s.was_due
), moved AS (
    UPDATE duties_duty d SET
        due_at = s.due_at, state = 'open',
        next_at = least(s.due_at, s.due_at + make_interval(secs => (SELECT s FROM first)))
    FROM standing s
    WHERE d.id = s.id AND NOT s.renewed AND s.due_at IS NOT NULL AND s.stage = 0
), told AS (
    INSERT INTO duties_transition (id, team_id, duty_id, was, now, at, noticed_at, due_at)
    SELECT uuid7(), %(team)s, c.id, c.was, c.now, coalesce(%(at)s, %(moment)s), %(moment)s,
           c.was_due
    FROM closed c
)
INSERT INTO duties_duty
    (id, team_id, kind, permission_id, basis_at, due_at, state, stage, next_at, stamp)
SELECT uuid7(), %(team)s, 'renew', g.permission_id, coalesce(%(at)s, %(moment)s), g.due_at, 'open',
       0, least(g.due_at, g.due_at + make_interval(secs => (SELECT s FROM first))), 0
FROM given g
-- Reading these first frees the one place that an open duty of the permission has.
WHERE (SELECT count(*) FROM closed) >= 0 AND g.due_at IS NOT NULL AND g.opens
  AND (EXISTS (SELECT FROM closed c WHERE c.permission_id = g.permission_id) OR NOT EXISTS (
      SELECT FROM duties_duty d
      WHERE d.permission_id = g.permission_id AND d.kind = 'renew'
        AND d.state IN ('open', 'overdue')))
