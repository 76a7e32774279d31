-- What stands open under a licence when a report is to be filed: a code and a name for each.
SELECT 'set_standing' AS what, n.name || ' ' || x.label AS name
FROM lines_set x
JOIN lines_line n ON n.id = x.line_id
JOIN standing_setstate s ON s.set_id = x.id
WHERE x.team_id = %(team)s AND x.licence_id = %(licence)s AND s.active
  AND s.placed_at < %(ends)s
UNION ALL
SELECT 'set_lost', n.name || ' ' || x.label
FROM lines_set x
JOIN lines_line n ON n.id = x.line_id
JOIN standing_setstate s ON s.set_id = x.id
WHERE x.team_id = %(team)s AND x.licence_id = %(licence)s AND s.ended = 'lost'
  AND s.ended_at < %(ends)s
UNION ALL
SELECT CASE d.kind WHEN 'seal' THEN 'not_sealed' WHEN 'log_catch' THEN 'not_logged'
            ELSE 'duty_open' END,
       coalesce(x.label, e.name, '') || ' · ' || d.kind
FROM duties_duty d
LEFT JOIN lines_waiting w ON w.id = d.waiting_id
LEFT JOIN lines_catch k ON k.id = d.caught_id
LEFT JOIN rulebook_species e ON e.id = k.species_id
LEFT JOIN lines_check c ON c.id = k.check_made_id
LEFT JOIN lines_set x ON x.id = coalesce(d.set_id, w.set_id, c.set_id)
WHERE d.team_id = %(team)s AND d.state IN ('open', 'overdue')
  AND d.kind NOT IN ('file', 'renew')
  AND coalesce(k.licence_id, x.licence_id, d.licence_id) = %(licence)s
  AND d.basis_at < %(ends)s
  AND (d.kind <> 'check' OR d.due_at < %(ends)s)
UNION ALL
SELECT 'number_left', s.prefix || s.first || '–' || s.prefix || s.last
FROM lines_series s
WHERE s.team_id = %(team)s AND s.licence_id = %(licence)s AND s.at < %(ends)s
  AND s.last - s.first + 1 > (
      SELECT count(DISTINCT n.number) FROM lines_numberspent n WHERE n.series_id = s.id)
ORDER BY 1, 2
