-- Catches that a version's rules are asked of: made under it, or with a duty that is open. Only of
-- checks in effect; the set is taken as it stands, or stood last.
SELECT c.id, c.at,
       concat_ws(E'\x1f', s.device_class, s.action, s.placement, array_to_string(s.zone_codes, ','),
                 q.kind, '', l.tz),
       a.code, c.is_target, c.fate IN ('dispatched', 'found_dead'),
       array_remove(ARRAY[CASE WHEN c.seal <> '' THEN 'seal' END,
                          CASE WHEN c.site_tag <> '' THEN 'tag' END], NULL),
       s.line_id, k.by_id
FROM lines_catch c
JOIN lines_check k ON k.id = c.check_made_id
JOIN standing_setstate s ON s.set_id = k.set_id
JOIN lines_line l ON l.id = s.line_id
JOIN people_licence q ON q.id = c.licence_id
JOIN rulebook_species a ON a.id = c.species_id
JOIN rulebook_version v ON v.id = %(version)s
WHERE c.team_id = %(team)s AND NOT k.withdraws
  AND NOT EXISTS (SELECT FROM lines_check x WHERE x.corrects_id = k.id)
  AND (c.at >= v.at OR EXISTS (
      SELECT FROM duties_duty d WHERE d.caught_id = c.id AND d.state IN ('open', 'overdue')))
