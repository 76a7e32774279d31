-- Devices that stand in no active set.
SELECT d.id, d.mark, k.name, k.device_class
FROM gear_device d JOIN gear_devicekind k ON k.id = d.kind_id
WHERE d.team_id = %(team)s AND NOT EXISTS (
    SELECT FROM standing_setstate s WHERE s.device_id = d.id AND s.active)
ORDER BY k.name, d.mark
