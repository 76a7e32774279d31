-- Which of some devices and loose parts stand on a pick list, and on which.
SELECT r.device_id, r.part_id, r.pick_id, i.name, coalesce(d.mark, '')
FROM reserved_gear(%(team)s) r
JOIN gear_pick i ON i.id = r.pick_id
LEFT JOIN gear_device d ON d.id = r.device_id
WHERE r.device_id = ANY (%(devices)s) OR r.part_id = ANY (%(parts)s)
ORDER BY d.mark, r.part_id
