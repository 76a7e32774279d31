-- All teams.
SELECT t.id FROM people_team t ORDER BY t.id
