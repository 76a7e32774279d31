-- Checks in effect about which something looks wrong, the newest first, with how far from the set
-- their phone was.
SELECT c.id, c.set_id, x.label, c.at, c.tz, m.name, c.flags, c.accuracy_m,
       (SELECT ST_Distance(c.position, p.place) FROM standing_setperiod p
        WHERE p.team_id = c.team_id AND p.set_id = c.set_id AND p.during @> c.at)
FROM lines_check c
JOIN lines_set x ON x.id = c.set_id
JOIN people_membership m ON m.id = c.by_id
WHERE c.team_id = %(team)s AND c.at >= %(since)s
  AND c.flags <> '{}' AND c.flags && %(doubts)s::text[]
  AND NOT c.withdraws AND NOT EXISTS (SELECT FROM lines_check y WHERE y.corrects_id = c.id)
ORDER BY c.at DESC, c.id
LIMIT %(most)s
