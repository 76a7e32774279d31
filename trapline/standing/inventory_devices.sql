-- Every device: how it is kept, where, lent to whom, and the tag on it.
SELECT d.id, d.mark, k.name, coalesce(g.how, 'store'), coalesce(g.place, ''), coalesce(m.name, ''),
       coalesce((SELECT t.tag FROM gear_tagging t WHERE t.device_id = d.id
                 ORDER BY t.at DESC, t.id DESC LIMIT 1), '')
FROM gear_device d
JOIN gear_devicekind k ON k.id = d.kind_id
LEFT JOIN LATERAL (
    SELECT f.how, f.place, f.member_id FROM gear_devicefact f
    WHERE f.device_id = d.id ORDER BY f.at DESC, f.id DESC LIMIT 1
) g ON TRUE
LEFT JOIN people_membership m ON m.id = g.member_id
WHERE d.team_id = %(team)s
ORDER BY k.name, d.mark
