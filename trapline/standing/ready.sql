-- The devices of one kind that may be taken, by mark.
SELECT r.device_id FROM ready_devices(%(team)s) r WHERE r.kind_id = %(kind)s ORDER BY r.mark
