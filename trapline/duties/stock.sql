-- The open duty to buy more of some kinds of part, and of the kinds of some parts, brought in line
-- with what lies in stock. Enough again by an act ends it as done; a lower least, or none, takes it
-- back.
WITH given AS (
    SELECT k.id, k.fewest, (
        SELECT count(*) FROM gear_part p JOIN standing_partstay y ON y.part_id = p.id
        WHERE p.kind_id = k.id AND upper_inf(y.during) AND y.state = 'stock') AS n
    FROM gear_partkind k
    WHERE k.team_id = %(team)s AND (k.id = ANY (%(kinds)s) OR k.id IN (
        SELECT p.kind_id FROM gear_part p WHERE p.id = ANY (%(parts)s)))
), first AS (
    SELECT min(s.offset_s) AS s FROM duties_stage s
    WHERE s.team_id = %(team)s AND s.kind = 'stock'
), closed AS (
    UPDATE duties_duty d SET
        state = CASE WHEN %(by_facts)s AND g.fewest IS NOT NULL THEN 'done' ELSE 'cancelled' END,
        done_at = CASE WHEN %(by_facts)s AND g.fewest IS NOT NULL THEN %(at)s::timestamptz END,
        done_by_id = CASE WHEN %(by_facts)s AND g.fewest IS NOT NULL THEN %(act)s::uuid END,
        next_at = NULL
    FROM given g
    WHERE d.team_id = %(team)s AND d.part_kind_id = g.id AND d.kind = 'stock'
      AND d.state IN ('open', 'overdue') AND (g.fewest IS NULL OR g.n >= g.fewest)
    RETURNING d.id, d.due_at, d.state AS now
), told AS (
    INSERT INTO duties_transition (id, team_id, duty_id, was, now, at, noticed_at, due_at)
    SELECT uuid7(), %(team)s, c.id, CASE WHEN c.due_at <= %(at)s THEN 'overdue' ELSE 'open' END,
           c.now, %(at)s, %(moment)s, c.due_at
    FROM closed c
)
INSERT INTO duties_duty
    (id, team_id, kind, part_kind_id, basis_at, due_at, state, stage, next_at, stamp)
SELECT uuid7(), %(team)s, 'stock', g.id, %(at)s, %(due)s, 'open', 0,
       least(%(due)s, %(due)s::timestamptz + make_interval(secs => (SELECT s FROM first))), 0
FROM given g
WHERE g.n < g.fewest AND NOT EXISTS (
    SELECT FROM duties_duty d
    WHERE d.team_id = %(team)s AND d.part_kind_id = g.id AND d.kind = 'stock'
      AND d.state IN ('open', 'overdue'))
