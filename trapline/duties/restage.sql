-- The team's stages of one kind of duty, set anew, and its open duties brought in line with them.
WITH held AS (
    SELECT d.id, d.kind, d.state, d.stage, d.due_at, d.next_at
    FROM duties_duty d
    WHERE d.team_id = %(team)s AND d.kind = %(kind)s AND d.state IN ('open', 'overdue')
    ORDER BY d.id
    FOR NO KEY UPDATE
), gone AS (
    DELETE FROM duties_stage WHERE team_id = %(team)s AND kind = %(kind)s RETURNING 1
), put AS (
    INSERT INTO duties_stage (id, team_id, kind, number, offset_s, recipient, channel)
    SELECT uuid7(), %(team)s, %(kind)s,
           (SELECT coalesce(max(stage), 0) FROM held)
               + row_number() OVER (ORDER BY g.offset_s, g.place),
           g.offset_s, g.recipient, g.channel
    FROM unnest(%(offsets)s::integer[], %(recipients)s::text[], %(channels)s::text[])
         WITH ORDINALITY AS g (offset_s, recipient, channel, place)
    WHERE (SELECT count(*) FROM gone) >= 0
    RETURNING number, offset_s
), planned AS (
    SELECT h.id, p.number, h.due_at + make_interval(secs => p.offset_s) AS at,
           -- Past, and not owed by a sweep that has yet to come.
           h.due_at + make_interval(secs => p.offset_s) <= %(moment)s
               AND (h.next_at IS NULL OR h.due_at + make_interval(secs => p.offset_s) < h.next_at)
               AS told
    FROM held h CROSS JOIN put p
)
UPDATE duties_duty d SET
    stage = coalesce((SELECT max(p.number) FROM planned p WHERE p.id = d.id AND p.told), h.stage),
    next_at = least(
        CASE WHEN h.state = 'open'
                  AND (h.due_at > %(moment)s OR h.kind NOT IN ('animal_waiting', 'search', 'log_catch'))
             THEN h.due_at END,
        (SELECT min(p.at) FROM planned p WHERE p.id = d.id AND NOT p.told))
FROM held h
WHERE d.id = h.id
