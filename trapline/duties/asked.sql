-- What rules ask of catches, sets and licences, brought in line: a duty no longer asked for ends, a
-- due moment that moved moves it, what is newly asked opens. A corrected catch hands its duties on
-- to the one that tells of the same animal. What was shown done stays done.
WITH wanted AS (
    SELECT * FROM unnest(
        %(kinds)s::text[], %(subjects)s::uuid[], %(asked)s::text[], %(rules)s::uuid[],
        %(dues)s::timestamptz[], %(bases)s::timestamptz[], %(whos)s::uuid[], %(lines)s::uuid[]
    ) AS w (kind, subject, asked, rule_id, due_at, basis_at, who_id, line_id)
), carried AS (
    SELECT * FROM unnest(%(old)s::uuid[], %(new)s::uuid[]) AS c (old, new)
), first AS (
    SELECT s.kind, min(s.offset_s) AS s FROM duties_stage s
    WHERE s.team_id = %(team)s AND s.kind IN ('pull', 'report', 'seal', 'sample', 'file')
    GROUP BY s.kind
), mine AS (
    SELECT d.id, d.kind, d.asked, d.state, d.stage, d.due_at, d.rule_id, d.who_id, d.caught_id,
           d.set_id AS subject
    FROM duties_duty d
    WHERE d.team_id = %(team)s AND d.set_id = ANY (%(sets)s) AND d.kind = 'pull' AND d.asked = ''
      AND d.state IN ('open', 'overdue')
    UNION ALL
    SELECT d.id, d.kind, d.asked, d.state, d.stage, d.due_at, d.rule_id, d.who_id, d.caught_id,
           CASE WHEN c.old IS NULL THEN d.caught_id ELSE c.new END
    FROM duties_duty d LEFT JOIN carried c ON c.old = d.caught_id
    WHERE d.team_id = %(team)s AND d.caught_id = ANY (%(catches)s::uuid[] || %(old)s::uuid[])
      AND d.kind IN ('report', 'seal', 'sample') AND d.state <> 'cancelled'
    UNION ALL
    SELECT d.id, d.kind, d.asked, d.state, d.stage, d.due_at, d.rule_id, d.who_id, d.caught_id,
           d.licence_id
    FROM duties_duty d
    WHERE d.team_id = %(team)s AND d.licence_id = ANY (%(licences)s) AND d.kind = 'file'
      AND d.state <> 'cancelled'
), matched AS (
    SELECT m.*, w.subject IS NOT NULL AS still, w.due_at AS new_due, w.rule_id AS new_rule,
           w.who_id AS new_who,
           w.subject IS NOT NULL AND (m.stage = 0 OR m.due_at = w.due_at) AS stays
    FROM mine m
    LEFT JOIN wanted w ON w.kind = m.kind AND w.subject = m.subject AND w.asked = m.asked
), ended AS (
    -- No longer asked for; or somebody was told of a moment that no longer holds.
    UPDATE duties_duty d SET state = 'cancelled', next_at = NULL
    FROM matched m
    WHERE d.id = m.id AND m.state IN ('open', 'overdue') AND NOT m.stays
    RETURNING d.id, m.state AS was, m.due_at, m.kind, m.subject, m.asked
), moved AS (
    UPDATE duties_duty d SET
        caught_id = CASE WHEN d.caught_id IS NOT NULL THEN m.subject END,
        rule_id = m.new_rule, who_id = m.new_who, due_at = m.new_due,
        state = CASE WHEN m.due_at = m.new_due THEN d.state ELSE 'open' END,
        next_at = CASE WHEN m.due_at = m.new_due THEN d.next_at ELSE least(
            m.new_due,
            m.new_due + make_interval(secs => (SELECT f.s FROM first f WHERE f.kind = m.kind))) END
    FROM matched m
    WHERE d.id = m.id AND m.state IN ('open', 'overdue') AND m.stays
      AND (m.due_at, m.rule_id, m.who_id, coalesce(m.caught_id, m.subject))
          IS DISTINCT FROM (m.new_due, m.new_rule, m.new_who, m.subject)
), followed AS (
    UPDATE duties_duty d SET caught_id = m.subject
    FROM matched m
    WHERE d.id = m.id AND m.state = 'done' AND m.caught_id IS DISTINCT FROM m.subject
      AND m.caught_id IS NOT NULL AND m.subject IS NOT NULL
), told AS (
    INSERT INTO duties_transition (id, team_id, duty_id, was, now, at, noticed_at, due_at)
    SELECT uuid7(), %(team)s, e.id, e.was, 'cancelled', %(moment)s, %(moment)s, e.due_at
    FROM ended e
)
INSERT INTO duties_duty
    (id, team_id, kind, caught_id, set_id, licence_id, of_line_id, who_id, rule_id, asked, basis_at,
     due_at, state, stage, next_at, stamp)
SELECT uuid7(), %(team)s, w.kind,
       CASE WHEN w.kind IN ('report', 'seal', 'sample') THEN w.subject END,
       CASE WHEN w.kind = 'pull' THEN w.subject END,
       CASE WHEN w.kind = 'file' THEN w.subject END,
       w.line_id, w.who_id, w.rule_id, w.asked, w.basis_at, w.due_at, 'open', 0,
       least(w.due_at, w.due_at + make_interval(secs => f.s)), 0
FROM wanted w LEFT JOIN first f ON f.kind = w.kind
-- Reading these first frees the one place that an open duty has.
WHERE (SELECT count(*) FROM ended) >= 0
  AND (EXISTS (SELECT FROM ended e
               WHERE e.kind = w.kind AND e.subject = w.subject AND e.asked = w.asked)
       OR NOT EXISTS (SELECT FROM mine m
                      WHERE m.kind = w.kind AND m.subject = w.subject AND m.asked = w.asked))
