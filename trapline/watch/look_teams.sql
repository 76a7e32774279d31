-- All teams with a set whose findings are to be reckoned.
SELECT t.id FROM people_team t
WHERE EXISTS (SELECT FROM findings_look k WHERE k.team_id = t.id AND k.next_at <= %(moment)s)
   OR EXISTS (SELECT FROM findings_look k
              WHERE k.team_id = t.id AND k.next_at IS NOT NULL AND k.stamp < t.rule_stamp)
ORDER BY t.id
