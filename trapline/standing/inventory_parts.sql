-- Every part: its state now, why, where it lies or in which device it is, and the tag on it.
SELECT p.id, p.mark, k.name, y.state, CASE WHEN y.state = 'retired' THEN f.why ELSE '' END,
       f.place, coalesce(d.mark, ''),
       coalesce((SELECT t.tag FROM gear_tagging t WHERE t.part_id = p.id
                 ORDER BY t.at DESC, t.id DESC LIMIT 1), '')
FROM gear_part p
JOIN gear_partkind k ON k.id = p.kind_id
JOIN standing_partstay y ON y.part_id = p.id AND upper_inf(y.during)
JOIN gear_partfact f ON f.id = y.id
LEFT JOIN gear_device d ON d.id = y.device_id
WHERE p.team_id = %(team)s
ORDER BY k.name, d.mark, p.mark, p.id
