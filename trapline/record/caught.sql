-- What a catch does to the parts of the device that stood in the set: spent, or freed for inspection.
INSERT INTO gear_partfact (id, team_id, act_id, at, part_id, state, device_id, why)
SELECT uuid7(), %(team)s, %(act)s, %(at)s, s.part_id,
       CASE k.after_catch WHEN 'spent' THEN 'spent' ELSE 'inspect' END, NULL, 'catch'
FROM standing_setperiod p
JOIN gear_device d ON d.id = p.device_id
JOIN standing_partstay s ON s.device_id = d.id AND s.state = 'built_in' AND s.during @> %(at)s::timestamptz
JOIN gear_part g ON g.id = s.part_id
JOIN gear_partkind r ON r.id = g.kind_id
JOIN gear_kindpart k ON k.kind_id = d.kind_id AND k.role = r.role AND k.after_catch <> 'stays'
WHERE p.team_id = %(team)s AND p.set_id = %(set)s AND p.during @> %(at)s::timestamptz
RETURNING part_id
