-- One book: each number that something was done with, by the last word on it, with the animal that
-- bears it; and before each, the run of numbers that nothing was done with.
SELECT n.number, n.use, n.at, m.name, n.animal, a.local_date, a.species, a.bears,
       lag(n.number, 1, s.first - 1) OVER (ORDER BY n.number)
FROM lines_series s
JOIN lines_numberspent n ON n.series_id = s.id
JOIN journal_act t ON t.id = n.act_id
JOIN people_membership m ON m.id = t.acted_by_id
LEFT JOIN LATERAL (
    SELECT c.local_date, e.name AS species, TRUE AS bears
    FROM lines_catch k
    JOIN lines_check c ON c.id = k.check_made_id
    JOIN rulebook_species e ON e.id = k.species_id
    WHERE k.team_id = s.team_id AND k.animal = n.animal AND NOT c.withdraws
      AND NOT EXISTS (SELECT FROM lines_check y WHERE y.corrects_id = c.id)
    ORDER BY c.at DESC LIMIT 1
) a ON TRUE
WHERE s.team_id = %(team)s AND s.id = %(series)s
  AND NOT EXISTS (SELECT FROM lines_numberspent r WHERE r.replaces_id = n.id)
ORDER BY n.number
LIMIT %(most)s
