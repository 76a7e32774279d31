-- All teams with a duty whose moment has come.
SELECT t.id FROM people_team t
WHERE EXISTS (
    SELECT FROM duties_duty d
    WHERE d.team_id = t.id AND d.state IN ('open', 'overdue') AND d.next_at <= %(moment)s
)
ORDER BY t.id
