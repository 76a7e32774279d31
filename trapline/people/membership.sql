-- A person's membership of the team at an address: asked before a team is in force.
SELECT m.team_id, t.slug, m.id, m.role, m.person_id, m.name
FROM people_membership m
JOIN people_team t ON t.id = m.team_id
JOIN people_person p ON p.id = m.person_id
WHERE t.slug = %(slug)s AND m.person_id = %(person)s AND m.ended_at IS NULL AND p.is_active
