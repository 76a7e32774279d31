-- Each member's looks by line, kind of device, month and species aimed at: time in service, with
-- half of each disturbed interval, and looks that found a target. Undated failures are left out,
-- dated ones count up to then.
SELECT i.by_id, x.line_id, i.device_kind_id, to_char(i.day, 'YYYY-MM'), a.codes,
       sum(CASE WHEN i.targets + i.others > 0 OR i.found = 'sprung_empty'
                THEN i.nights / 2 ELSE coalesce(i.served, i.nights) END),
       count(*) FILTER (WHERE i.targets > 0)
FROM standing_interval i
JOIN lines_set x ON x.id = i.set_id
CROSS JOIN LATERAL (
    SELECT coalesce(string_agg(e.code, ' ' ORDER BY e.code), '') AS codes
    FROM lines_target t JOIN rulebook_species e ON e.id = t.species_id
    WHERE t.set_id = i.set_id
) a
WHERE i.team_id = %(team)s AND i.till_at > i.from_at
  AND (i.found NOT IN ('damaged', 'buried', 'gone') OR i.served IS NOT NULL)
  AND (%(first)s::date IS NULL OR i.day >= %(first)s)
  AND (%(last)s::date IS NULL OR i.day <= %(last)s)
GROUP BY 1, 2, 3, 4, 5
ORDER BY 1, 2, 3, 4, 5
