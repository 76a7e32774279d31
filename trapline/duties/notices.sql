-- Notices of the outbox, the latest first.
SELECT n.id, n.made_at, n.state, n.stage, n.channel, m.name, n.attempts, n.retry_after, n.sent_at,
       n.error, d.kind, n.due_at, t.id, coalesce(t.label, ''), coalesce(l.name, ''),
       coalesce(l.tz, 'UTC'),
       (SELECT s.offset_s FROM duties_stage s
        WHERE s.team_id = n.team_id AND s.kind = d.kind AND s.number = n.stage)
FROM duties_notice n
JOIN duties_duty d ON d.id = n.duty_id
JOIN people_membership m ON m.id = n.to_id
LEFT JOIN lines_waiting w ON w.id = d.waiting_id
LEFT JOIN lines_catch c ON c.id = d.caught_id
LEFT JOIN lines_check k ON k.id = c.check_made_id
LEFT JOIN lines_set t ON t.id = coalesce(d.set_id, w.set_id, k.set_id)
LEFT JOIN lines_line l ON l.id = d.of_line_id
WHERE n.team_id = %(team)s AND (%(member)s::uuid IS NULL OR n.to_id = %(member)s)
ORDER BY n.made_at DESC, n.id DESC
LIMIT %(most)s
