-- What bears a label: a device, or a part and the device it is in; and the set or the pick list of one
-- member in which that is.
WITH thing AS (
    SELECT d.id AS device_id, NULL::uuid AS part_id
    FROM gear_device d WHERE d.team_id = %(team)s AND d.id = %(thing)s
    UNION ALL
    SELECT y.device_id, p.id
    FROM gear_part p
    LEFT JOIN standing_partstay y ON y.part_id = p.id AND upper_inf(y.during)
    WHERE p.team_id = %(team)s AND p.id = %(thing)s
)
SELECT t.part_id IS NOT NULL,
       (SELECT s.set_id FROM standing_setstate s
        WHERE s.device_id = t.device_id AND s.active AND s.responsible_id = %(member)s),
       (SELECT r.pick_id FROM reserved_gear(%(team)s) r JOIN gear_pick i ON i.id = r.pick_id
        WHERE (r.device_id = t.device_id OR r.part_id = t.part_id) AND i.carrier_id = %(member)s
        LIMIT 1)
FROM thing t
