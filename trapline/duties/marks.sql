-- Open duties on lines, counted by line, kind and stretch of time: what stands on the ribbon.
SELECT s.line_id, d.kind, d.due_at <= %(moment)s AS past, count(*), min(d.due_at), max(d.due_at)
FROM duties_duty d
LEFT JOIN lines_waiting w ON w.id = d.waiting_id
JOIN standing_setstate s ON s.set_id = coalesce(d.set_id, w.set_id)
WHERE d.team_id = %(team)s AND d.state IN ('open', 'overdue') AND d.due_at <= %(until)s
  AND (%(member)s::uuid IS NULL OR d.who_id = %(member)s OR s.responsible_id = %(member)s)
GROUP BY s.line_id, d.kind, past,
         date_bin(make_interval(secs => %(bin_s)s), greatest(d.due_at, %(moment)s), %(moment)s)
ORDER BY s.line_id, past DESC, min(d.due_at)
