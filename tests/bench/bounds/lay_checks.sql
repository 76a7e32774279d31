-- Checks of some sets of a team, `each` a set, about a night apart; four in a hundred hold an animal.
-- Laid in the order of time, as they would have come in.
WITH act AS (SELECT id FROM journal_act WHERE team_id = %(team)s ORDER BY id LIMIT 1),
     numbered AS (SELECT id, row_number() OVER (ORDER BY id) AS no
                  FROM lines_set WHERE team_id = %(team)s AND id = ANY (%(sets)s)),
     laid AS (
    INSERT INTO lines_check (id, team_id, act_id, at, set_id, by_id, tz, local_date, supervision,
        how_seen, found, sign, gone_how, done, placement_seen, reason, note, counts, flags, withdraws)
    SELECT uuid7(), %(team)s, act.id, w.at, n.id, %(who)s, 'America/Whitehorse',
           (w.at - interval '7 hours')::date, '', 'at_set', w.found,
           CASE WHEN w.found = 'sprung_empty' THEN 'unknown' ELSE '' END, '', '{left}', '', '', '',
           TRUE, '{}', FALSE
    FROM generate_series(1, %(each)s) k
    CROSS JOIN numbered n
    CROSS JOIN act
    CROSS JOIN LATERAL (
        SELECT %(placed)s::timestamptz + k * interval '24 hours'
                   + random() * interval '6 hours' + n.no * interval '1 second' AS at,
               CASE WHEN u.x < 0.04 THEN 'animal' WHEN u.x < 0.07 THEN 'sprung_empty'
                    WHEN u.x < 0.08 THEN 'buried' ELSE 'in_order' END AS found
        FROM (SELECT random() + 0 * k AS x) u
    ) w
    RETURNING id, at, found
)
INSERT INTO lines_catch (id, team_id, act_id, at, check_made_id, animal, species_id, sex, age,
    alive_on_arrival, held_where, is_target, fate, means, condition, handed_to, reference,
    licence_id, device_tag, site_tag, seal)
SELECT uuid7(), %(team)s, act.id, l.at, l.id, uuid7(), %(species)s, 'male', 'adult', FALSE, '',
       random() < 0.8, 'found_dead', '', '', '', '', %(licence)s, '', '', ''
FROM laid l CROSS JOIN act
WHERE l.found = 'animal'
