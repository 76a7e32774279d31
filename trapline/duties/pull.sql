-- A species is closed by notice: each set made for it there is to be pulled by a moment. The closure
-- names the duty (`asked`), so that its end takes back its own and no other.
INSERT INTO duties_duty
    (id, team_id, kind, set_id, of_line_id, who_id, asked, basis_at, due_at, state, stage, next_at,
     stamp)
SELECT uuid7(), %(team)s, 'pull', s.set_id, s.line_id, s.responsible_id, %(asked)s, %(basis)s,
       %(due)s, 'open', 0, least(%(due)s, %(due)s::timestamptz + make_interval(secs => f.first_s)),
       0
FROM standing_setstate s
LEFT JOIN LATERAL (
    SELECT min(d.offset_s) AS first_s FROM duties_stage d
    WHERE d.team_id = %(team)s AND d.kind = 'pull'
) f ON TRUE
WHERE s.team_id = %(team)s AND s.active AND s.placed_at < %(due)s
  AND (%(zone)s = '' OR %(zone)s = ANY (s.zone_codes))
  AND EXISTS (SELECT FROM lines_target g WHERE g.set_id = s.set_id AND g.species_id = %(species)s)
