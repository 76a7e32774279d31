-- Sets of a line that were found buried or frozen in at a moment or later, locked.
SELECT s.set_id
FROM standing_setstate s
WHERE s.team_id = %(team)s AND s.line_id = %(line)s
  AND EXISTS (SELECT FROM standing_interval i
              WHERE i.set_id = s.set_id AND i.till_at >= %(since)s AND i.found = 'buried')
ORDER BY s.set_id
FOR NO KEY UPDATE OF s
