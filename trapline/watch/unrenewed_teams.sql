-- All teams with a permission that has not ended and that nobody is asked to renew.
SELECT t.id FROM people_team t
WHERE EXISTS (
    SELECT FROM land_permission p
    WHERE p.team_id = t.id AND p.withdrawn_on IS NULL AND p.valid_until >= %(day)s
      AND extract(year FROM p.valid_until) < 2199
      AND NOT EXISTS (
          SELECT FROM duties_duty d
          WHERE d.permission_id = p.id AND d.kind = 'renew' AND d.state IN ('open', 'overdue'))
)
ORDER BY t.id
