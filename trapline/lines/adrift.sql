-- Numbers used on an animal of which no catch in effect bears them any more: withdrawn, or corrected.
SELECT n.id, s.id, s.kind, s.prefix, n.number, n.animal, c.number
FROM lines_numberspent n
JOIN lines_series s ON s.id = n.series_id
JOIN people_licence c ON c.id = s.licence_id
WHERE n.team_id = %(team)s AND n.use = 'used'
  AND (%(series)s::uuid IS NULL OR n.series_id = %(series)s)
  AND NOT EXISTS (SELECT FROM lines_numberspent r WHERE r.replaces_id = n.id)
  AND NOT EXISTS (
      SELECT FROM lines_catch k
      JOIN lines_check h ON h.id = k.check_made_id
      CROSS JOIN LATERAL (
          SELECT CASE s.kind WHEN 'seal' THEN k.seal ELSE k.site_tag END AS text) t
      WHERE k.team_id = n.team_id AND k.animal = n.animal AND NOT h.withdraws
        AND NOT EXISTS (SELECT FROM lines_check y WHERE y.corrects_id = h.id)
        AND starts_with(t.text, s.prefix)
        AND CASE WHEN substr(t.text, length(s.prefix) + 1) ~ '^[0-9]+$'
                 THEN substr(t.text, length(s.prefix) + 1)::numeric = n.number END)
ORDER BY c.number, s.kind, s.prefix, n.number
