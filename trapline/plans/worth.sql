-- What one animal of each species was worth to the team: edible kg by the scale, else by the table's
-- share of the mean weight, times the table's energy; and the mean price of pelts sold, if in one
-- currency.
SELECT e.id,
       (v.kcal_per_100g * 10 * coalesce(avg(a.edible_kg), v.edible_share * avg(a.weight_kg)))::float,
       v.protein_g_per_100g::float, v.kcal_per_100g::float,
       CASE WHEN count(DISTINCT a.currency) FILTER (WHERE a.price IS NOT NULL) = 1
            THEN avg(a.price) END::float,
       coalesce(min(a.currency) FILTER (WHERE a.price IS NOT NULL), '')
FROM rulebook_species e
LEFT JOIN kept_animal a ON a.team_id = e.team_id AND a.species_id = e.id
LEFT JOIN kept_foodvalue v ON v.team_id = e.team_id AND v.species_code = e.code
WHERE e.team_id = %(team)s
GROUP BY e.id, v.kcal_per_100g, v.protein_g_per_100g, v.edible_share
