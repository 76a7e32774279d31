-- Animals taken, by what a limit can be about: licence, zone, species, the device that held them, as
-- it stood from the look before on, and the local date of the check.
SELECT c.licence_id, p.kind, coalesce(z.code, ''), a.id, a.code, coalesce(d.device_class, ''),
       coalesce(d.action, ''), coalesce(i.placement, ''), k.local_date, k.tz, count(*)
FROM lines_catch c
JOIN lines_check k ON k.id = c.check_made_id
JOIN people_licence p ON p.id = c.licence_id
JOIN rulebook_species a ON a.id = c.species_id
LEFT JOIN standing_interval i ON i.id = k.id
LEFT JOIN gear_devicekind d ON d.id = i.device_kind_id
LEFT JOIN land_zone z ON z.id = c.zone_id
WHERE c.team_id = %(team)s AND c.at > %(since)s AND c.at <= %(moment)s
  AND c.fate IN ('dispatched', 'found_dead') AND NOT k.withdraws
  AND NOT EXISTS (SELECT FROM lines_check x WHERE x.corrects_id = k.id)
GROUP BY c.licence_id, p.kind, z.code, a.id, a.code, d.device_class, d.action, i.placement,
         k.local_date, k.tz
