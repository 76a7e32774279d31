-- The team's change count, and the comparison of its members as it was last reckoned for some days.
SELECT t.change_count, c.at, c.change, c.method, c.members
FROM people_team t
LEFT JOIN reports_comparison c ON c.team_id = t.id
    AND c.first IS NOT DISTINCT FROM %(first)s::date
    AND c.last IS NOT DISTINCT FROM %(last)s::date
WHERE t.id = %(team)s
