-- The open check duty of some sets, brought in line with what now binds them.
-- A newer visit closes the open duty and opens the next; the same visit under another rule, person
-- or due moment moves it; a visit withdrawn takes it back to the one before.
WITH given AS (
    SELECT * FROM unnest(
        %(sets)s::uuid[], %(basis)s::timestamptz[], %(due)s::timestamptz[],
        %(rules)s::uuid[], %(who)s::uuid[]
    ) AS g (set_id, basis_at, due_at, rule_id, who_id)
), staged AS (
    SELECT g.*, least(g.due_at, g.due_at + make_interval(secs => s.first_s)) AS next_at
    FROM given g LEFT JOIN LATERAL (
        SELECT min(s.offset_s) AS first_s FROM duties_stage s
        WHERE s.team_id = %(team)s AND s.kind = 'check'
    ) s ON TRUE
), closed AS (
    UPDATE duties_duty d SET
        state = 'done', done_at = g.basis_at, done_by_id = %(act)s, on_active = NULL, next_at = NULL
    FROM given g
    WHERE d.set_id = g.set_id AND d.kind = 'check' AND d.state IN ('open', 'overdue')
      AND d.basis_at < g.basis_at
    RETURNING d.id, d.set_id, d.due_at, d.done_at,
              CASE WHEN d.due_at <= %(moment)s THEN 'overdue' ELSE 'open' END AS was
), undone AS (
    UPDATE duties_duty d SET state = 'cancelled', done_at = NULL, done_by_id = NULL
    FROM given g
    WHERE NOT %(newest)s AND d.set_id = g.set_id AND d.kind = 'check' AND d.state = 'done'
      AND d.done_at > g.basis_at
    RETURNING d.id, d.set_id, d.due_at
), superseded AS (
    -- Somebody was told of a due moment that no longer holds: a new duty tells them again.
    UPDATE duties_duty d SET state = 'cancelled', on_active = NULL, next_at = NULL
    FROM given g
    WHERE d.set_id = g.set_id AND d.kind = 'check' AND d.state IN ('open', 'overdue')
      AND d.basis_at >= g.basis_at AND d.stage > 0 AND d.due_at IS DISTINCT FROM g.due_at
    RETURNING d.id, d.set_id, d.due_at
), moved AS (
    UPDATE duties_duty d SET
        basis_at = g.basis_at, due_at = g.due_at, rule_id = g.rule_id, who_id = g.who_id,
        stamp = %(stamp)s,
        state = CASE WHEN g.due_at IS NOT DISTINCT FROM d.due_at THEN d.state ELSE 'open' END,
        next_at = CASE WHEN g.due_at IS NOT DISTINCT FROM d.due_at THEN d.next_at ELSE g.next_at END
    FROM staged g
    WHERE d.set_id = g.set_id AND d.kind = 'check' AND d.state IN ('open', 'overdue')
      AND d.basis_at >= g.basis_at
      AND (d.stage = 0 OR d.due_at IS NOT DISTINCT FROM g.due_at)
      AND (d.basis_at, d.due_at, d.rule_id, d.who_id, d.stamp)
          IS DISTINCT FROM (g.basis_at, g.due_at, g.rule_id, g.who_id, %(stamp)s::bigint)
), told AS (
    INSERT INTO duties_transition (id, team_id, duty_id, was, now, at, noticed_at, due_at)
    SELECT uuid7(), %(team)s, c.id, c.was, 'done', c.done_at, %(moment)s, c.due_at
    FROM closed c
    UNION ALL
    SELECT uuid7(), %(team)s, u.id, 'done', 'cancelled', %(moment)s, %(moment)s, u.due_at
    FROM undone u
    UNION ALL
    SELECT uuid7(), %(team)s, s.id, 'open', 'cancelled', %(moment)s, %(moment)s, s.due_at
    FROM superseded s
)
INSERT INTO duties_duty
    (id, team_id, kind, set_id, of_line_id, on_active, who_id, rule_id, basis_at, due_at, state,
     stage, next_at, stamp)
SELECT uuid7(), %(team)s, 'check', g.set_id, t.line_id, TRUE, g.who_id, g.rule_id,
       g.basis_at, g.due_at, 'open', 0, g.next_at, %(stamp)s
FROM staged g JOIN lines_set t ON t.id = g.set_id
-- Reading these first frees the one place that an open duty of the set has.
WHERE (SELECT count(*) FROM closed) + (SELECT count(*) FROM superseded) >= 0
  AND (EXISTS (SELECT FROM superseded x WHERE x.set_id = g.set_id) OR NOT EXISTS (
      SELECT FROM duties_duty d
      WHERE d.set_id = g.set_id AND d.kind = 'check' AND d.state IN ('open', 'overdue')
        AND d.basis_at >= g.basis_at))
