-- What rules ask of animals and nobody has shown done, by licence and rule: what is overdue, and the
-- tags and seals that are missing though there is time. The zone is that of the first one due.
SELECT c.licence_id, d.kind, d.due_at <= %(moment)s, d.asked, d.rule_id, count(*), min(d.due_at),
       (array_agg(n.tz ORDER BY d.due_at, d.id))[1]
FROM duties_duty d
JOIN lines_catch c ON c.id = d.caught_id
JOIN lines_check k ON k.id = c.check_made_id
JOIN lines_set s ON s.id = k.set_id
JOIN lines_line n ON n.id = s.line_id
WHERE d.team_id = %(team)s AND d.kind IN ('report', 'seal', 'sample')
  AND d.state IN ('open', 'overdue') AND (d.kind = 'seal' OR d.due_at <= %(moment)s)
GROUP BY 1, 2, 3, 4, 5
ORDER BY 1, 2, 3, 4
