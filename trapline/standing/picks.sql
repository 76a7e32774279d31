-- Pick lists with how much they still keep, the newest first; a member's are those they carry.
SELECT p.id, p.name, p.note, p.carrier_id, coalesce(c.name, ''), coalesce(b.name, ''), p.at, d.at,
       (SELECT count(*) FROM gear_picked k WHERE k.pick_id = p.id),
       coalesce(r.kept, 0)
FROM gear_pick p
LEFT JOIN people_membership c ON c.id = p.carrier_id
LEFT JOIN journal_act a ON a.id = p.act_id
LEFT JOIN people_membership b ON b.id = a.acted_by_id
LEFT JOIN gear_pickdrop d ON d.pick_id = p.id
LEFT JOIN (
    SELECT g.pick_id, count(*) AS kept FROM reserved_gear(%(team)s) g GROUP BY g.pick_id
) r ON r.pick_id = p.id
WHERE p.team_id = %(team)s AND (%(member)s::uuid IS NULL OR p.carrier_id = %(member)s)
  AND (%(pick)s::uuid IS NULL OR p.id = %(pick)s)
ORDER BY p.at DESC, p.id DESC
LIMIT %(most)s
