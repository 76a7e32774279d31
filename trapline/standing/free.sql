-- Devices that stand in no active set and are neither lost nor retired, and the pick list that keeps
-- one, if any.
SELECT d.id, d.mark, k.name, k.device_class, coalesce(i.name, '')
FROM gear_device d JOIN gear_devicekind k ON k.id = d.kind_id
LEFT JOIN reserved_gear(%(team)s) r ON r.device_id = d.id
LEFT JOIN gear_pick i ON i.id = r.pick_id
WHERE d.team_id = %(team)s AND NOT EXISTS (
    SELECT FROM standing_setstate s WHERE s.device_id = d.id AND s.active)
  AND coalesce((SELECT f.how FROM gear_devicefact f WHERE f.device_id = d.id
                ORDER BY f.at DESC, f.id DESC LIMIT 1), 'store') NOT IN ('lost', 'retired')
ORDER BY k.name, d.mark
