-- What the groups of a yield page rest on, told without reading it: one content has one print. A row
-- a group in the page's order where a set is in a group with all its looks (line, set, bait, species
-- aimed at); else one row for all, with the names of members and kinds in it.
-- `live`: some of its looks stand in no tally yet, so that the print does not know them.
WITH told AS (
    SELECT s.set_id, s.untallied_from IS NOT NULL AS live,
           hashtextextended(concat_ws(' ', s.set_id, s.tallied), 0) AS print,
           CASE %(by)s
               WHEN 'line' THEN n.id::text
               WHEN 'set' THEN x.id::text
               WHEN 'bait' THEN s.bait
               WHEN 'species' THEN e.code
               ELSE ''
           END AS key,
           CASE %(by)s
               WHEN 'line' THEN n.name
               WHEN 'set' THEN n.name || ' ' || x.label
               WHEN 'species' THEN e.name
           END AS label
    FROM standing_setstate s
    JOIN lines_set x ON x.id = s.set_id
    JOIN lines_line n ON n.id = x.line_id
    LEFT JOIN (lines_target t JOIN rulebook_species e ON e.id = t.species_id)
        ON %(by)s = 'species' AND t.set_id = s.set_id
    WHERE s.team_id = %(team)s
), named AS (
    SELECT bit_xor(hashtextextended(concat_ws(' ', u.id, u.name), 0)) AS print
    FROM (SELECT id, name FROM gear_devicekind WHERE team_id = %(team)s AND %(by)s = 'device'
          UNION ALL
          SELECT id, name FROM people_membership WHERE team_id = %(team)s AND %(by)s = 'member') u
)
SELECT t.key, coalesce(min(t.label), t.key), bit_xor(t.print) # coalesce(min(n.print), 0),
       bool_or(t.live), CASE WHEN bool_or(t.key <> '') OR %(by)s = 'bait' THEN array_agg(t.set_id) END
FROM told t CROSS JOIN named n
WHERE t.key IS NOT NULL
GROUP BY t.key
ORDER BY lower(coalesce(min(t.label), t.key)), t.key
