-- All teams with a check duty reckoned under an older rule stamp.
SELECT t.id FROM people_team t
WHERE EXISTS (
    SELECT FROM duties_duty d
    WHERE d.team_id = t.id AND d.kind = 'check' AND d.state IN ('open', 'overdue')
      AND d.stamp < t.rule_stamp
)
ORDER BY t.id
