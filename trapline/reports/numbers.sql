-- What became of the numbers of a licence's books: the last word on each, with the animal that
-- bears it where a catch in effect says so.
SELECT s.kind, s.prefix || n.number, n.use, n.at, a.local_date, n.animal, a.code, a.name, a.sex
FROM lines_series s
JOIN lines_numberspent n ON n.series_id = s.id
LEFT JOIN LATERAL (
    SELECT c.local_date, e.code, e.name, k.sex
    FROM lines_catch k
    JOIN lines_check c ON c.id = k.check_made_id
    JOIN rulebook_species e ON e.id = k.species_id
    WHERE k.team_id = %(team)s AND k.animal = n.animal AND NOT c.withdraws
      AND NOT EXISTS (SELECT FROM lines_check y WHERE y.corrects_id = c.id)
    ORDER BY c.at DESC LIMIT 1
) a ON TRUE
WHERE s.team_id = %(team)s AND s.licence_id = %(licence)s AND s.kind = %(kind)s
  AND NOT EXISTS (SELECT FROM lines_numberspent r WHERE r.replaces_id = n.id)
ORDER BY s.prefix, n.number
