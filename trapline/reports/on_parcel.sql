-- What was done on a parcel: animals in effect from sets that stood there when they caught, by
-- species and fate; and sets that stood there, by whether they still do. No place leaves this.
SELECT 'animal' AS what, s.name, k.fate, count(*), NULL::timestamptz
FROM land_permission e
JOIN standing_setperiod p ON p.team_id = %(team)s AND ST_Covers(e.parcel, p.place)
JOIN lines_check c ON c.set_id = p.set_id
JOIN lines_catch k ON k.check_made_id = c.id
JOIN rulebook_species s ON s.id = k.species_id
LEFT JOIN standing_interval i ON i.id = c.id
WHERE e.team_id = %(team)s AND e.id = %(permission)s
  AND p.during @> coalesce(i.from_at, c.at) AND NOT c.withdraws
  AND NOT EXISTS (SELECT FROM lines_check y WHERE y.corrects_id = c.id)
  AND c.local_date BETWEEN %(first)s AND %(last)s
GROUP BY s.name, k.fate
UNION ALL
SELECT 'set', '', CASE WHEN t.active THEN 'standing' ELSE t.ended END, count(*), max(t.ended_at)
FROM standing_setstate t
WHERE t.team_id = %(team)s AND EXISTS (
    SELECT FROM land_permission e
    JOIN standing_setperiod p ON p.set_id = t.set_id AND ST_Covers(e.parcel, p.place)
    WHERE e.team_id = %(team)s AND e.id = %(permission)s
      AND p.during && tstzrange(%(begins)s, %(ends)s)
)
GROUP BY t.active, t.ended
ORDER BY 1, 2, 3
