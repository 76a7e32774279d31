-- Acts kept for people who were not in the team they named, and who are in it now.
SELECT s.id, t.id, m.id
FROM journal_stray s
JOIN people_team t ON t.slug = s.team_said
JOIN people_membership m ON m.team_id = t.id AND m.person_id = s.person_id AND m.ended_at IS NULL
WHERE NOT EXISTS (SELECT FROM journal_act a WHERE a.id = s.act)
ORDER BY s.wall_at, s.id
LIMIT %(batch)s
