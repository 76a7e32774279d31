-- Permissions with their parcels' areas, those that end soonest first. Contacts are for leaders.
SELECT p.id, p.name, p.holder, CASE WHEN %(member)s::uuid IS NULL THEN p.contact ELSE '' END,
       p.valid_from, p.valid_until, p.conditions, p.reference, p.withdrawn_on, ST_Area(p.parcel),
       ARRAY(SELECT m.name FROM people_membership m WHERE m.id = ANY (p.members) ORDER BY m.name)
FROM land_permission p
WHERE p.team_id = %(team)s
  AND (%(member)s::uuid IS NULL OR p.members = '{}' OR %(member)s = ANY (p.members))
ORDER BY p.valid_until, p.name, p.id
