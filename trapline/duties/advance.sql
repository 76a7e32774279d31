-- Duties whose moment has come: state, transition and notices, together or not at all.
-- A duty whose due moment is no longer the one the decision rested on is left for the next sweep.
WITH given AS (
    SELECT * FROM unnest(%(duties)s::uuid[], %(due)s::timestamptz[]) AS g (duty_id, due_at)
), reached AS (
    SELECT d.id, d.kind, d.who_id, d.state, d.due_at, s.number, s.recipient, s.channel
    FROM given g
    JOIN duties_duty d ON d.id = g.duty_id AND d.due_at IS NOT DISTINCT FROM g.due_at
    LEFT JOIN duties_stage s ON s.team_id = %(team)s AND s.kind = d.kind AND s.number > d.stage
         AND d.due_at + make_interval(secs => s.offset_s) <= %(moment)s
    WHERE d.team_id = %(team)s AND d.state IN ('open', 'overdue')
), upto AS (
    SELECT r.id, r.kind, r.state AS was, r.due_at, max(r.number) AS number
    FROM reached r GROUP BY r.id, r.kind, r.state, r.due_at
), stepped AS (
    UPDATE duties_duty d SET
        stage = coalesce(u.number, d.stage),
        state = CASE WHEN u.due_at <= %(moment)s AND u.kind NOT IN ('animal_waiting', 'search', 'log_catch')
                THEN 'overdue' ELSE d.state END,
        next_at = least(
            CASE WHEN u.due_at > %(moment)s THEN u.due_at END,
            (SELECT min(u.due_at + make_interval(secs => s.offset_s)) FROM duties_stage s
             WHERE s.team_id = %(team)s AND s.kind = u.kind
               AND s.number > coalesce(u.number, d.stage)))
    FROM upto u WHERE d.id = u.id
    RETURNING d.id, u.was, d.state AS now, u.due_at
), turned AS (
    INSERT INTO duties_transition (id, team_id, duty_id, was, now, at, noticed_at, due_at)
    SELECT uuid7(), %(team)s, t.id, t.was, t.now, t.due_at, %(moment)s, t.due_at
    FROM stepped t WHERE t.was <> t.now
)
INSERT INTO duties_notice
    (id, team_id, duty_id, stage, to_id, channel, made_at, due_at, state, attempts, retry_after,
     error)
SELECT uuid7(), %(team)s, n.duty_id, n.number, n.to_id, n.channel, %(moment)s, n.due_at, 'queued',
       0, %(moment)s, ''
-- One cause, one alert: who is reached by several stages at once is told the last of them.
FROM (
    SELECT DISTINCT ON (r.id, p.id, r.channel)
           r.id AS duty_id, r.number, p.id AS to_id, r.channel, r.due_at
    FROM reached r
    JOIN stepped t ON t.id = r.id
    CROSS JOIN LATERAL (
        SELECT r.who_id AS id WHERE r.recipient = 'responsible' AND r.who_id IS NOT NULL
        UNION
        SELECT coalesce(m.instructor_id, m.id) FROM people_membership m
        WHERE r.recipient = 'instructor' AND m.id = r.who_id
        UNION
        SELECT m.id FROM people_membership m
        WHERE r.recipient = 'managers' AND m.team_id = %(team)s AND m.role = 'manager'
          AND m.ended_at IS NULL
    ) p
    WHERE r.number IS NOT NULL
    ORDER BY r.id, p.id, r.channel, r.number DESC
) n
ON CONFLICT (duty_id, stage, to_id, channel) DO NOTHING
