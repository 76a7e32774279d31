-- Devices that may be set aside, so many of each kind, in order of their marks.
SELECT r.device_id, r.kind_id, k.name, r.mark, r.place
FROM (
    SELECT *, row_number() OVER (PARTITION BY kind_id ORDER BY mark) AS place_no
    FROM ready_devices(%(team)s)
) r
JOIN unnest(%(kinds)s::uuid[], %(counts)s::integer[]) AS w (kind_id, n) ON w.kind_id = r.kind_id
JOIN gear_devicekind k ON k.id = r.kind_id
WHERE r.place_no <= w.n
ORDER BY k.name, r.mark
