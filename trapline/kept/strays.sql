-- What is told of animals that no catch in effect bears: withdrawn, or corrected away.
SELECT s.animal, s.what, s.state, s.at, m.name
FROM (
    SELECT p.team_id, p.id, p.animal, 'pelt' AS what, p.state, p.at, p.by_id
    FROM kept_peltstep p
    WHERE p.team_id = %(team)s
      AND NOT EXISTS (SELECT FROM kept_undone u WHERE u.pelt_id = p.id)
    UNION ALL
    SELECT p.team_id, p.id, p.animal, 'portion', p.use, p.at, p.by_id
    FROM kept_portion p
    WHERE p.team_id = %(team)s
      AND NOT EXISTS (SELECT FROM kept_undone u WHERE u.portion_id = p.id)
) s
JOIN people_membership m ON m.id = s.by_id
WHERE NOT EXISTS (
    SELECT FROM lines_catch k
    JOIN lines_check c ON c.id = k.check_made_id
    WHERE k.team_id = s.team_id AND k.animal = s.animal AND NOT c.withdraws
      AND NOT EXISTS (SELECT FROM lines_check y WHERE y.corrects_id = c.id))
ORDER BY s.at, s.animal
LIMIT %(most)s
