"""Team walls, append-only tables, and the one view that says where each animal is."""

from django.db import migrations

from trapline.ground.walls import AppendOnly, TeamWalls

FACTS = ("PeltStep", "MeatJudged", "Portion", "Sample", "SampleHandedIn", "Undone")

# Animals in effect, each once: what the harvest says of it, how far its pelt is, whether its meat
# is fit and what went of it, and one place. Whoever reads it says the team.
VIEW = """
CREATE VIEW kept_animal AS
SELECT k.team_id, k.id AS catch_id, k.animal, k.species_id, e.code AS species_code,
       e.name AS species, c.local_date, c.at, c.tz, k.sex, k.age, k.alive_on_arrival, k.fate,
       k.weight_kg, k.site_tag, k.seal, k.device_tag, k.handed_to, k.reference, k.licence_id,
       l.number AS licence, l.holder_id, c.by_id, m.name AS checked_by, c.set_id,
       x.label AS set_label, x.line_id, n.name AS line, i.from_at,
       coalesce(p.state, '') AS pelt, p.at AS pelt_at, coalesce(p.place, '') AS pelt_place,
       coalesce(p.grade, '') AS grade, coalesce(p."to", '') AS pelt_to, p.price,
       coalesce(p.currency, '') AS currency, j.fit, j.organs, j.why, j.edible_kg,
       coalesce(o.eaten_kg, 0) AS eaten_kg, coalesce(o.given_kg, 0) AS given_kg,
       coalesce(o.other_kg, 0) AS other_kg,
       CASE WHEN k.fate IN ('released', 'got_away', 'handed_to') THEN k.fate
            WHEN o.used AND coalesce(p.state, 'discarded') = 'discarded' THEN 'eaten'
            WHEN p.state IN ('whole', 'skinned', 'fleshed', 'stretched', 'dried', 'graded',
                             'tanned') THEN 'room'
            WHEN p.state IS NOT NULL THEN p.state
            ELSE 'unsaid' END AS place,
       k.fate IN ('released', 'got_away', 'handed_to')
           AND (p.state IS NOT NULL OR o.portions > 0) AS against_record
FROM lines_catch k
JOIN lines_check c ON c.id = k.check_made_id
JOIN lines_set x ON x.id = c.set_id
JOIN lines_line n ON n.id = x.line_id
JOIN rulebook_species e ON e.id = k.species_id
JOIN people_licence l ON l.id = k.licence_id
JOIN people_membership m ON m.id = c.by_id
LEFT JOIN standing_interval i ON i.id = c.id
LEFT JOIN LATERAL (
    SELECT s.* FROM kept_peltstep s
    WHERE s.team_id = k.team_id AND s.animal = k.animal
      AND NOT EXISTS (SELECT FROM kept_undone u WHERE u.pelt_id = s.id)
    ORDER BY s.at DESC, s.id DESC LIMIT 1
) p ON TRUE
LEFT JOIN LATERAL (
    SELECT s.fit, s.organs, s.why, s.edible_kg FROM kept_meatjudged s
    WHERE s.team_id = k.team_id AND s.animal = k.animal
      AND NOT EXISTS (SELECT FROM kept_undone u WHERE u.meat_judged_id = s.id)
    ORDER BY s.at DESC, s.id DESC LIMIT 1
) j ON TRUE
LEFT JOIN LATERAL (
    SELECT count(*) AS portions, bool_or(s.use IN ('eaten', 'given')) AS used,
           sum(s.kg) FILTER (WHERE s.use = 'eaten') AS eaten_kg,
           sum(s.kg) FILTER (WHERE s.use = 'given') AS given_kg,
           sum(s.kg) FILTER (WHERE s.use NOT IN ('eaten', 'given')) AS other_kg
    FROM kept_portion s
    WHERE s.team_id = k.team_id AND s.animal = k.animal
      AND NOT EXISTS (SELECT FROM kept_undone u WHERE u.portion_id = s.id)
) o ON TRUE
WHERE NOT c.withdraws AND NOT EXISTS (SELECT FROM lines_check y WHERE y.corrects_id = c.id)
"""


class Migration(migrations.Migration):
    dependencies = [
        ("kept", "0001_initial"),
        ("lines", "0005_photos"),
        ("rulebook", "0004_closures"),
        ("standing", "0002_walls"),
        ("people", "0002_walls"),
        ("journal", "0004_photos"),
    ]
    operations = [
        TeamWalls(*FACTS, "FoodValue"),
        AppendOnly(*FACTS),
        migrations.RunSQL(VIEW, "DROP VIEW kept_animal"),
    ]
