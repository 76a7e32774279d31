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
), old AS (
    -- The open duty of a set, if anything of it differs. An older one is done. Where somebody was
    -- told of a due moment that no longer holds, a new duty tells them again. Else it moves.
    SELECT d.id, g.set_id, g.basis_at, g.due_at, g.rule_id, g.who_id,
           CASE WHEN d.basis_at < g.basis_at THEN 'done'
                WHEN d.stage > 0 AND d.due_at IS DISTINCT FROM g.due_at THEN 'cancelled'
                ELSE 'moved' END AS what,
           CASE WHEN d.due_at IS NOT DISTINCT FROM g.due_at THEN d.state ELSE 'open' END AS state,
           CASE WHEN d.due_at IS NOT DISTINCT FROM g.due_at THEN d.next_at ELSE g.next_at END AS next_at
    FROM staged g JOIN duties_duty d ON d.set_id = g.set_id
    WHERE d.kind = 'check' AND d.state IN ('open', 'overdue')
      AND (d.basis_at, d.due_at, d.rule_id, d.who_id, d.stamp)
          IS DISTINCT FROM (g.basis_at, g.due_at, g.rule_id, g.who_id, %(stamp)s::bigint)
    -- As a sweep under way leaves it: what it has marked and told meanwhile is read, not undone.
    FOR NO KEY UPDATE OF d
), touched AS (
    UPDATE duties_duty d SET
        state = CASE o.what WHEN 'moved' THEN o.state ELSE o.what END,
        done_at = CASE o.what WHEN 'done' THEN o.basis_at END,
        done_by_id = CASE o.what WHEN 'done' THEN %(act)s::uuid END,
        on_active = CASE o.what WHEN 'moved' THEN d.on_active END,
        next_at = CASE o.what WHEN 'moved' THEN o.next_at END,
        basis_at = CASE o.what WHEN 'moved' THEN o.basis_at ELSE d.basis_at END,
        due_at = CASE o.what WHEN 'moved' THEN o.due_at ELSE d.due_at END,
        rule_id = CASE o.what WHEN 'moved' THEN o.rule_id ELSE d.rule_id END,
        who_id = CASE o.what WHEN 'moved' THEN o.who_id ELSE d.who_id END,
        stamp = CASE o.what WHEN 'moved' THEN %(stamp)s::bigint ELSE d.stamp END
    FROM old o WHERE d.id = o.id
    RETURNING d.id, d.set_id, d.due_at, d.done_at, o.what
), undone AS (
    UPDATE duties_duty d SET state = 'cancelled', done_at = NULL, done_by_id = NULL
    FROM given g
    WHERE NOT %(newest)s AND d.set_id = g.set_id AND d.kind = 'check' AND d.state = 'done'
      AND d.done_at > g.basis_at
    RETURNING d.id, d.set_id, d.due_at
), told AS (
    INSERT INTO duties_transition (id, team_id, duty_id, was, now, at, noticed_at, due_at)
    SELECT uuid7(), %(team)s, c.id,
           CASE WHEN c.what = 'done' AND c.due_at <= %(moment)s THEN 'overdue' ELSE 'open' END, c.what,
           coalesce(c.done_at, %(moment)s), %(moment)s, c.due_at
    FROM touched c WHERE c.what <> 'moved'
    UNION ALL
    SELECT uuid7(), %(team)s, u.id, 'done', 'cancelled', %(moment)s, %(moment)s, u.due_at
    FROM undone u
)
INSERT INTO duties_duty
    (id, team_id, kind, set_id, of_line_id, on_active, who_id, rule_id, basis_at, due_at, state,
     stage, next_at, stamp)
SELECT uuid7(), %(team)s, 'check', g.set_id, t.line_id, TRUE, g.who_id, g.rule_id,
       g.basis_at, g.due_at, 'open', 0, g.next_at, %(stamp)s
FROM staged g JOIN lines_set t ON t.id = g.set_id
-- Reading these first frees the one place that an open duty of the set has.
WHERE (SELECT count(*) FROM touched) >= 0
  AND (EXISTS (SELECT FROM touched x WHERE x.set_id = g.set_id AND x.what = 'cancelled') OR NOT EXISTS (
      SELECT FROM duties_duty d
      WHERE d.set_id = g.set_id AND d.kind = 'check' AND d.state IN ('open', 'overdue')
        AND d.basis_at >= g.basis_at))
