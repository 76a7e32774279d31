-- Parts by kind and state, as they are now; a kind without parts counts none in stock. What is
-- built into a device that was lost or retired went with it.
SELECT k.role, k.name, k.id, k.price, k.fewest, coalesce(g.how, y.state, 'stock'), count(y.id)
FROM gear_partkind k
LEFT JOIN gear_part p ON p.kind_id = k.id
LEFT JOIN standing_partstay y ON y.part_id = p.id AND upper_inf(y.during)
LEFT JOIN LATERAL (
    SELECT nullif(nullif(f.how, 'store'), 'lent') AS how FROM gear_devicefact f
    WHERE f.device_id = y.device_id
    ORDER BY f.at DESC, f.id DESC LIMIT 1
) g ON TRUE
WHERE k.team_id = %(team)s
GROUP BY k.id, coalesce(g.how, y.state, 'stock')
ORDER BY k.role, k.name, coalesce(g.how, y.state, 'stock')
