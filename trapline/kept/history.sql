-- All that was entered about one animal after its catch, in order of time; what was taken back too.
SELECT h.what, h.id, h.at, m.name, h.state, h.kg, h.said, h.price, h.currency,
       coalesce(u.reason, ''), coalesce(b.name, '')
FROM (
    SELECT 'pelt' AS what, p.id, p.at, p.by_id, p.state, NULL::float8 AS kg,
           concat_ws(' · ', nullif(p.place, ''), nullif(p.grade, ''), nullif(p."to", ''),
                     nullif(p.reference, ''), nullif(p.note, '')) AS said, p.price, p.currency
    FROM kept_peltstep p WHERE p.team_id = %(team)s AND p.animal = %(animal)s
    UNION ALL
    SELECT 'meat_judged', j.id, j.at, j.by_id, CASE WHEN j.fit THEN 'fit' ELSE 'unfit' END,
           j.edible_kg, j.why, NULL, ''
    FROM kept_meatjudged j WHERE j.team_id = %(team)s AND j.animal = %(animal)s
    UNION ALL
    SELECT 'portion', o.id, o.at, o.by_id, o.use, o.kg, coalesce(e.name, o.household), NULL, ''
    FROM kept_portion o LEFT JOIN people_membership e ON e.id = o.member_id
    WHERE o.team_id = %(team)s AND o.animal = %(animal)s
    UNION ALL
    SELECT 'sample', s.id, s.at, s.by_id, s.what, NULL, s.label, NULL, ''
    FROM kept_sample s WHERE s.team_id = %(team)s AND s.animal = %(animal)s
    UNION ALL
    SELECT 'handed_in', d.id, d.at, d.by_id, s.what, NULL,
           concat_ws(' · ', s.label, d."to", nullif(d.reference, '')), NULL, ''
    FROM kept_sample s JOIN kept_samplehandedin d ON d.sample_id = s.id
    WHERE s.team_id = %(team)s AND s.animal = %(animal)s
) h
JOIN people_membership m ON m.id = h.by_id
LEFT JOIN kept_undone u ON u.team_id = %(team)s
     AND h.id IN (u.pelt_id, u.meat_judged_id, u.portion_id, u.sample_id)
LEFT JOIN people_membership b ON b.id = u.by_id
ORDER BY h.at, h.id
