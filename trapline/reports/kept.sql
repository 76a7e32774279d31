-- The team's change count, and the groups that were reckoned before, if any were.
SELECT t.change_count, r.change, r.groups, r.prints
FROM people_team t
LEFT JOIN reports_reckoned r ON r.team_id = t.id AND r.by = %(by)s
    AND r.first IS NOT DISTINCT FROM %(first)s::date
    AND r.last IS NOT DISTINCT FROM %(last)s::date
    AND r.member_id IS NOT DISTINCT FROM %(member)s::uuid
WHERE t.id = %(team)s
