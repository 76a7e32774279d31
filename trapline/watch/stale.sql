-- Open check duties reckoned under an older rule stamp, taken for the re-due.
SELECT d.set_id
FROM duties_duty d
JOIN people_team t ON t.id = d.team_id
WHERE d.team_id = %(team)s AND d.kind = 'check' AND d.state IN ('open', 'overdue')
  AND d.stamp < t.rule_stamp
ORDER BY d.stamp
LIMIT %(batch)s
FOR NO KEY UPDATE OF d SKIP LOCKED
