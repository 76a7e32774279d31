-- Sets whose findings turn by themselves now, or were reckoned under an older rule stamp. Their
-- states are locked, as every act on a set locks them.
SELECT s.set_id
FROM findings_look k
JOIN standing_setstate s ON s.set_id = k.set_id
JOIN people_team t ON t.id = k.team_id
WHERE k.team_id = %(team)s AND k.next_at IS NOT NULL
  AND (k.next_at <= %(moment)s OR k.stamp < t.rule_stamp)
ORDER BY k.next_at
LIMIT %(batch)s
FOR NO KEY UPDATE OF s SKIP LOCKED
