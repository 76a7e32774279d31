-- Effort under a licence: intervals between looks in effect, counted by the day of the later look.
-- Nights of unknown service: a device found damaged, buried or gone, nobody knows since when. What snow
-- or ice readings date counts up to then.
SELECT to_char(i.day, 'YYYY-MM') AS month, k.device_class, i.placement,
       coalesce(array_to_string(s.zone_codes, ' '), '') AS zone, n.name AS line,
       i.set_id, count(*) AS checks,
       coalesce(sum(coalesce(i.served, i.nights)) FILTER (
           WHERE i.found NOT IN ('damaged', 'buried', 'gone') OR i.served IS NOT NULL), 0) AS nights,
       coalesce(sum(i.nights) FILTER (
           WHERE i.found IN ('damaged', 'buried', 'gone') AND i.served IS NULL), 0)
           AS nights_unknown,
       sum(i.targets) AS targets, sum(i.others) AS others
FROM standing_interval i
JOIN lines_set x ON x.id = i.set_id
JOIN lines_line n ON n.id = x.line_id
JOIN standing_setstate s ON s.set_id = i.set_id
JOIN gear_devicekind k ON k.id = i.device_kind_id
WHERE i.team_id = %(team)s AND x.licence_id = %(licence)s
  AND i.day BETWEEN %(first)s AND %(last)s
GROUP BY 1, 2, 3, 4, 5, 6
ORDER BY 1, 2, 3, 4, 5, 6
