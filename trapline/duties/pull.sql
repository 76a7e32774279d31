-- A species is closed: each set made for it there is to be pulled by a moment. A set that is to be
-- pulled sooner anyhow keeps that duty; a later one gives way, since somebody may have been told it.
WITH hit AS (
    SELECT s.set_id, s.line_id, s.responsible_id
    FROM standing_setstate s
    WHERE s.team_id = %(team)s AND s.active AND s.placed_at < %(due)s
      AND (%(zone)s = '' OR %(zone)s = ANY (s.zone_codes))
      AND EXISTS (
          SELECT FROM lines_target g WHERE g.set_id = s.set_id AND g.species_id = %(species)s)
), later AS (
    UPDATE duties_duty d SET state = 'cancelled', next_at = NULL
    FROM hit h
    WHERE d.set_id = h.set_id AND d.kind = 'pull' AND d.state IN ('open', 'overdue')
      AND d.due_at > %(due)s
    RETURNING d.id, d.due_at
), told AS (
    INSERT INTO duties_transition (id, team_id, duty_id, was, now, at, noticed_at, due_at)
    SELECT uuid7(), %(team)s, l.id, 'open', 'cancelled', %(moment)s, %(moment)s, l.due_at
    FROM later l
)
INSERT INTO duties_duty
    (id, team_id, kind, set_id, of_line_id, who_id, basis_at, due_at, state, stage, next_at, stamp)
SELECT uuid7(), %(team)s, 'pull', h.set_id, h.line_id, h.responsible_id, %(basis)s, %(due)s,
       'open', 0, least(%(due)s, %(due)s::timestamptz + make_interval(secs => f.first_s)), 0
FROM hit h LEFT JOIN LATERAL (
    SELECT min(s.offset_s) AS first_s FROM duties_stage s
    WHERE s.team_id = %(team)s AND s.kind = 'pull'
) f ON TRUE
WHERE NOT EXISTS (
    SELECT FROM duties_duty d
    WHERE d.set_id = h.set_id AND d.kind = 'pull' AND d.state IN ('open', 'overdue')
      AND d.due_at <= %(due)s)
