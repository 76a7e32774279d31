-- Parts of a kind that lie in stock and that no pick list keeps, the longest there first.
SELECT y.part_id
FROM standing_partstay y JOIN gear_part p ON p.id = y.part_id
WHERE y.team_id = %(team)s AND p.kind_id = %(kind)s AND upper_inf(y.during)
  AND y.state IN ('stock', 'inspect')
  AND NOT EXISTS (SELECT FROM reserved_gear(%(team)s) r WHERE r.part_id = y.part_id)
ORDER BY y.during, y.part_id
LIMIT %(most)s
