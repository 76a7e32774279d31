-- One set as it stands, with the names of what it refers to.
SELECT t.id, t.label, l.id, l.name, l.tz, s.active, s.ended, s.ended_at, s.placed_at, pb.name,
       ST_Y(s.place::geometry), ST_X(s.place::geometry),
       (SELECT a.accuracy_m FROM lines_arrangement a
        WHERE a.set_id = t.id AND a.place IS NOT NULL ORDER BY a.at DESC LIMIT 1),
       s.placement, d.id, d.mark, k.name, k.device_class, k.action,
       s.responsible_id, m.name, c.id, c.number, s.tag, s.bait, s.bait_in_view,
       s.loop_diameter_m, s.loop_height_m, s.anchoring, s.water_depth_m, s.snow_depth_m,
       s.zone_codes, s.last_visit_at, s.last_check_at, s.last_found,
       ARRAY(SELECT g.species_id FROM lines_target g WHERE g.set_id = t.id ORDER BY g.id),
       ARRAY(SELECT p.name FROM lines_target g JOIN rulebook_species p ON p.id = g.species_id
             WHERE g.set_id = t.id ORDER BY g.id)
FROM standing_setstate s
JOIN lines_set t ON t.id = s.set_id
JOIN lines_line l ON l.id = t.line_id
JOIN people_membership pb ON pb.id = t.placed_by_id
JOIN people_membership m ON m.id = s.responsible_id
JOIN people_licence c ON c.id = t.licence_id
JOIN gear_device d ON d.id = s.device_id
JOIN gear_devicekind k ON k.id = d.kind_id
WHERE s.team_id = %(team)s AND s.set_id = %(set)s
  AND (%(member)s::uuid IS NULL OR s.responsible_id = %(member)s)
