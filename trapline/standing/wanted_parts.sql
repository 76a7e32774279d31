-- Loose parts that the spare kits of one pick list ask for, role by role, and how many it has: those
-- it keeps, and those that went into a device since. One that broke or was lost before is short again.
WITH kept AS (
    SELECT r.part_id FROM reserved_gear(%(team)s) r WHERE r.pick_id = %(pick)s
)
SELECT n.role, sum(n.count * w.spare_kits)::integer,
       (SELECT count(*) FROM gear_picked p
        JOIN gear_part t ON t.id = p.part_id JOIN gear_partkind k ON k.id = t.kind_id
        WHERE p.pick_id = %(pick)s AND k.role = n.role AND (
            p.part_id IN (SELECT part_id FROM kept)
            OR EXISTS (SELECT FROM standing_partstay y WHERE y.part_id = p.part_id
                       AND y.state = 'built_in' AND y.during && tstzrange(p.at, NULL))))
FROM gear_pickwanted w
JOIN gear_kindpart n ON n.kind_id = w.kind_id AND n.after_catch = 'spent'
WHERE w.team_id = %(team)s AND w.pick_id = %(pick)s AND w.spare_kits > 0
GROUP BY n.role
ORDER BY n.role
