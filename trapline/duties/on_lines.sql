-- Sets of lines as they stand, with their next check and whether something waits there.
SELECT t.id, t.label, s.active, s.ended, ST_Y(s.place::geometry), ST_X(s.place::geometry),
       s.placement, s.device_class, k.name, d.mark, s.responsible_id, m.name,
       s.last_visit_at, s.last_found, l.tz, l.id, l.name, c.due_at, c.stamp,
       EXISTS (SELECT FROM lines_waiting w JOIN duties_duty a ON a.waiting_id = w.id
               WHERE w.set_id = t.id AND a.state IN ('open', 'overdue')),
       EXISTS (SELECT FROM duties_duty a WHERE a.set_id = t.id AND a.kind = 'search'
               AND a.state IN ('open', 'overdue'))
FROM standing_setstate s
JOIN lines_set t ON t.id = s.set_id
JOIN lines_line l ON l.id = s.line_id
JOIN gear_device d ON d.id = s.device_id
JOIN gear_devicekind k ON k.id = d.kind_id
JOIN people_membership m ON m.id = s.responsible_id
LEFT JOIN duties_duty c
    ON c.set_id = t.id AND c.kind = 'check' AND c.state IN ('open', 'overdue')
WHERE s.team_id = %(team)s AND s.active = %(active)s
  AND (%(lines)s::uuid[] IS NULL OR s.line_id = ANY (%(lines)s))
  AND (%(member)s::uuid IS NULL OR s.responsible_id = %(member)s)
ORDER BY c.due_at NULLS LAST, t.label
LIMIT %(most)s
