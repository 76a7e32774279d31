-- Where a part was, stay by stay, and the sets its device stood in meanwhile.
SELECT lower(y.during), upper(y.during), y.state, coalesce(f.why, ''), coalesce(f.place, ''),
       y.device_id, coalesce(d.mark, ''),
       ARRAY(SELECT DISTINCT l.name || ' · ' || x.label
             FROM standing_setperiod q JOIN lines_set x ON x.id = q.set_id
             JOIN lines_line l ON l.id = x.line_id
             WHERE y.state = 'built_in' AND q.device_id = y.device_id AND q.during && y.during
             ORDER BY 1),
       coalesce(m.name, '')
FROM standing_partstay y
LEFT JOIN gear_device d ON d.id = y.device_id
LEFT JOIN gear_partfact f ON f.id = y.id
LEFT JOIN journal_act a ON a.id = f.act_id
LEFT JOIN people_membership m ON m.id = a.acted_by_id
WHERE y.team_id = %(team)s AND y.part_id = %(part)s
ORDER BY lower(y.during), y.id
