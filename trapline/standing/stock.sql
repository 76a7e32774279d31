-- Parts by kind and state, as they are now; a kind without parts counts none in stock.
SELECT k.role, k.name, k.id, coalesce(y.state, 'stock'), count(y.id)
FROM gear_partkind k
LEFT JOIN gear_part p ON p.kind_id = k.id
LEFT JOIN standing_partstay y ON y.part_id = p.id AND upper_inf(y.during)
WHERE k.team_id = %(team)s
GROUP BY k.role, k.name, k.id, y.state
ORDER BY k.role, k.name, y.state
