-- What happened to a device: built, kept, tagged, its parts in and out, the sets it stood in.
SELECT h.at, h.what, h.code, h.about, h.thing, coalesce(m.name, '') FROM (
    SELECT d.at, 'made' AS what, '' AS code, d.mark AS about, NULL::uuid AS thing, d.act_id, 0 AS n
    FROM gear_device d WHERE d.team_id = %(team)s AND d.id = %(device)s
    UNION ALL
    SELECT f.at, 'kept', f.how, concat_ws(' · ', nullif(w.name, ''), nullif(f.place, ''),
           nullif(f.note, '')), NULL, f.act_id, 1
    FROM gear_devicefact f LEFT JOIN people_membership w ON w.id = f.member_id
    WHERE f.team_id = %(team)s AND f.device_id = %(device)s
    UNION ALL
    SELECT t.at, 'tagged', '', t.tag, NULL, t.act_id, 1
    FROM gear_tagging t WHERE t.team_id = %(team)s AND t.device_id = %(device)s
    UNION ALL
    SELECT lower(y.during), 'part_in', k.role, concat_ws(' · ', k.name, nullif(p.mark, '')), p.id,
           f.act_id, 2
    FROM standing_partstay y JOIN gear_part p ON p.id = y.part_id
    JOIN gear_partkind k ON k.id = p.kind_id JOIN gear_partfact f ON f.id = y.id
    WHERE y.team_id = %(team)s AND y.device_id = %(device)s
    UNION ALL
    SELECT lower(o.during), 'part_out', o.state, concat_ws(' · ', k.name, nullif(p.mark, '')), p.id,
           f.act_id, 1
    FROM standing_partstay y
    JOIN standing_partstay o ON o.part_id = y.part_id AND lower(o.during) = upper(y.during)
        AND o.device_id IS DISTINCT FROM y.device_id
    JOIN gear_part p ON p.id = y.part_id
    JOIN gear_partkind k ON k.id = p.kind_id JOIN gear_partfact f ON f.id = o.id
    WHERE y.team_id = %(team)s AND y.device_id = %(device)s
    UNION ALL
    SELECT lower(q.during), 'set', q.placement, l.name || ' · ' || x.label, x.id, a.act_id, 3
    FROM standing_setperiod q JOIN lines_set x ON x.id = q.set_id
    JOIN lines_line l ON l.id = x.line_id
    JOIN lines_arrangement a ON a.id = q.id
    WHERE q.team_id = %(team)s AND q.device_id = %(device)s
) h
LEFT JOIN journal_act a ON a.id = h.act_id
LEFT JOIN people_membership m ON m.id = a.acted_by_id
ORDER BY h.at, h.n, h.about
