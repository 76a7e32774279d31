-- A check that came in late lies before the one that closed a duty: the duty was done then, and from
-- then on the next was asked, which the later check did.
WITH met AS (
    SELECT d.id, d.set_id, d.of_line_id, d.due_at, d.done_at, d.done_by_id, d.stage
    FROM duties_duty d
    WHERE d.team_id = %(team)s AND d.set_id = %(set)s AND d.kind = 'check' AND d.state = 'done'
      AND d.basis_at < %(at)s AND d.done_at > %(at)s
    FOR NO KEY UPDATE
), earlier AS (
    UPDATE duties_duty d SET done_at = %(at)s, done_by_id = %(act)s
    FROM met WHERE d.id = met.id
    RETURNING d.id, d.due_at
), next AS (
    INSERT INTO duties_duty
        (id, team_id, kind, set_id, of_line_id, who_id, rule_id, basis_at, due_at, state, done_at,
         done_by_id, stage, stamp)
    SELECT uuid7(), %(team)s, 'check', m.set_id, m.of_line_id, %(who)s, %(rule)s, %(at)s, %(due)s,
           'done', m.done_at, m.done_by_id, m.stage, %(stamp)s
    FROM met m
    WHERE %(known)s
)
INSERT INTO duties_transition (id, team_id, duty_id, was, now, at, noticed_at, due_at)
SELECT uuid7(), %(team)s, e.id, 'done', 'done', %(at)s, %(moment)s, e.due_at FROM earlier e
