-- Every licence with the animals that count against it. An animal is in effect when its check is
-- one that nothing corrects and that withdraws nothing. A licence without an animal gives one row
-- of nulls: a nil report is a report.
SELECT l.id, l.number, l.authority, h.name, a.*
FROM people_licence l
JOIN people_membership h ON h.id = l.holder_id
LEFT JOIN LATERAL (
    SELECT k.animal, s.code, s.name AS species, s.latin, c.local_date, c.at, c.tz,
           coalesce(z.code, '') AS zone_code,
           coalesce(e.device_class, '') AS device_class, coalesce(e.name, '') AS device_kind,
           coalesce(p.placement, '') AS placement, k.sex, k.age, k.alive_on_arrival, k.fate,
           k.is_target, k.site_tag, k.device_tag, k.seal, m.name AS checked_by, i.from_at,
           n.name AS line, x.label
    FROM lines_catch k
    JOIN lines_check c ON c.id = k.check_made_id
    JOIN lines_set x ON x.id = c.set_id
    JOIN lines_line n ON n.id = x.line_id
    JOIN rulebook_species s ON s.id = k.species_id
    JOIN people_membership m ON m.id = c.by_id
    LEFT JOIN land_zone z ON z.id = k.zone_id
    LEFT JOIN standing_interval i ON i.id = c.id
    -- The device and the placement that held it stood there before this check changed anything.
    LEFT JOIN standing_setperiod p ON p.set_id = c.set_id AND p.during @> coalesce(i.from_at, c.at)
    LEFT JOIN gear_device d ON d.id = p.device_id
    LEFT JOIN gear_devicekind e ON e.id = coalesce(i.device_kind_id, d.kind_id)
    WHERE k.team_id = %(team)s AND k.licence_id = l.id AND NOT c.withdraws
      AND NOT EXISTS (SELECT FROM lines_check y WHERE y.corrects_id = c.id)
      AND (%(first)s::date IS NULL OR c.local_date >= %(first)s)
      AND (%(last)s::date IS NULL OR c.local_date <= %(last)s)
) a ON TRUE
WHERE l.team_id = %(team)s
  AND (%(holder)s::uuid IS NULL OR l.holder_id = %(holder)s)
  AND CASE
      WHEN %(licence)s::uuid IS NOT NULL THEN l.id = %(licence)s
      ELSE a.animal IS NOT NULL
           OR (%(first)s::date IS NULL OR l.valid_until >= %(first)s)
              AND (%(last)s::date IS NULL OR l.valid_from <= %(last)s)
      END
ORDER BY l.number, l.id, a.at, a.label, a.animal
