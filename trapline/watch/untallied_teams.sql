-- All teams with a set whose tallies are to be counted.
SELECT DISTINCT s.team_id FROM standing_setstate s WHERE s.untallied_from IS NOT NULL
ORDER BY s.team_id
