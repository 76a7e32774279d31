-- How some sets stood and stand, made again from their arrangements and endings in effect.
-- Null in an arrangement means unchanged: last_known() carries the newest stated value forward.
WITH gone AS (
    DELETE FROM standing_setperiod WHERE team_id = %(team)s AND set_id = ANY (%(sets)s) RETURNING 1
), effective AS (
    SELECT a.*
    FROM lines_arrangement a
    LEFT JOIN lines_check c ON c.id = a.check_made_id
    WHERE a.team_id = %(team)s AND a.set_id = ANY (%(sets)s)
      AND (c.id IS NULL OR NOT c.withdraws AND NOT EXISTS (
          SELECT FROM lines_check x WHERE x.corrects_id = c.id))
), ended AS (
    SELECT DISTINCT ON (e.set_id) e.set_id, e.at, e.how
    FROM lines_ending e
    LEFT JOIN lines_check c ON c.id = e.check_made_id
    WHERE e.team_id = %(team)s AND e.set_id = ANY (%(sets)s)
      AND (c.id IS NULL OR NOT c.withdraws AND NOT EXISTS (
          SELECT FROM lines_check x WHERE x.corrects_id = c.id))
    ORDER BY e.set_id, e.at, e.id
), carried AS (
    SELECT a.id, a.set_id, a.at, a.cause,
           first_value(a.at) OVER w AS placed_at,
           last_known(a.place) OVER w AS place,
           last_known(a.placement) OVER w AS placement,
           last_known(a.device_id) OVER w AS device_id,
           last_known(a.responsible_id) OVER w AS responsible_id,
           last_known(a.tag) OVER w AS tag,
           last_known(a.bait) OVER w AS bait,
           last_known(a.bait_in_view) OVER w AS bait_in_view,
           last_known(a.loop_diameter_m) OVER w AS loop_diameter_m,
           last_known(a.loop_height_m) OVER w AS loop_height_m,
           last_known(a.anchoring) OVER w AS anchoring,
           last_known(a.water_depth_m) OVER w AS water_depth_m,
           last_known(a.snow_depth_m) OVER w AS snow_depth_m,
           coalesce(lead(a.at) OVER (PARTITION BY a.set_id ORDER BY a.at, a.id), 'infinity') AS till
    FROM effective a LEFT JOIN ended e USING (set_id)
    WHERE e.at IS NULL OR a.at < e.at
    WINDOW w AS (PARTITION BY a.set_id ORDER BY a.at, a.id)
), put AS (
    INSERT INTO standing_setperiod
        (id, team_id, set_id, during, place, placement, device_id, responsible_id,
         loop_diameter_m, loop_height_m, water_depth_m)
    SELECT c.id, %(team)s, c.set_id,
           tstzrange(c.at, nullif(least(c.till, coalesce(e.at, 'infinity')), 'infinity')),
           c.place, c.placement, c.device_id, c.responsible_id,
           c.loop_diameter_m, c.loop_height_m, c.water_depth_m
    FROM carried c LEFT JOIN ended e USING (set_id)
    -- The old rows go first: reading `gone` makes it so.
    WHERE (SELECT count(*) FROM gone) >= 0 AND c.at < least(c.till, coalesce(e.at, 'infinity'))
), now_so AS (
    SELECT DISTINCT ON (set_id) * FROM carried ORDER BY set_id, at DESC, id DESC
)
INSERT INTO standing_setstate
    (id, team_id, set_id, line_id, active, ended, ended_at, placed_at, place, placement,
     device_id, device_class, action, responsible_id, tag, bait, bait_in_view, loop_diameter_m,
     loop_height_m, anchoring, water_depth_m, snow_depth_m, zone_codes, last_visit_at, last_found,
     visit_by_placing, folded_to)
SELECT n.set_id, %(team)s, n.set_id, s.line_id, e.at IS NULL, coalesce(e.how, ''), e.at,
       n.placed_at, n.place, n.placement, n.device_id, k.device_class, k.action,
       n.responsible_id, coalesce(n.tag, ''), coalesce(n.bait, ''), n.bait_in_view,
       n.loop_diameter_m, n.loop_height_m, coalesce(n.anchoring, ''), n.water_depth_m,
       n.snow_depth_m,
       ARRAY(SELECT z.code FROM land_zone z
             WHERE z.team_id = %(team)s AND upper_inf(z.during) AND ST_Intersects(z.area, n.place)
             ORDER BY z.code),
       n.placed_at, '', TRUE, n.placed_at
FROM now_so n
JOIN lines_set s ON s.id = n.set_id
JOIN gear_device d ON d.id = n.device_id
JOIN gear_devicekind k ON k.id = d.kind_id
LEFT JOIN ended e ON e.set_id = n.set_id
ON CONFLICT (set_id) DO UPDATE SET
    active = excluded.active, ended = excluded.ended, ended_at = excluded.ended_at,
    placed_at = excluded.placed_at, place = excluded.place, placement = excluded.placement,
    device_id = excluded.device_id, device_class = excluded.device_class,
    action = excluded.action, responsible_id = excluded.responsible_id, tag = excluded.tag,
    bait = excluded.bait, bait_in_view = excluded.bait_in_view,
    loop_diameter_m = excluded.loop_diameter_m, loop_height_m = excluded.loop_height_m,
    anchoring = excluded.anchoring, water_depth_m = excluded.water_depth_m,
    snow_depth_m = excluded.snow_depth_m, zone_codes = excluded.zone_codes
