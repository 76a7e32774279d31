-- What happened to a set, from every table that says so, the newest first.
WITH events AS (
    SELECT c.at, 'check' AS kind, c.id, c.act_id, c.by_id, jsonb_build_object(
        'how_seen', c.how_seen, 'seen_from_m', c.seen_from_m, 'found', c.found, 'sign', c.sign,
        'gone_how', c.gone_how, 'done', c.done, 'supervision', c.supervision,
        'supervised_by', sb.name, 'placement_seen', c.placement_seen,
        'water_depth_m', c.water_depth_m, 'snow_depth_m', c.snow_depth_m, 'reason', c.reason,
        'note', c.note, 'counts', c.counts, 'flags', c.flags, 'withdraws', c.withdraws,
        'corrects', c.corrects_id, 'accuracy_m', c.accuracy_m,
        'away_m', (SELECT ST_Distance(c.position, p.place) FROM standing_setperiod p
            WHERE p.team_id = c.team_id AND p.set_id = c.set_id AND p.during @> c.at),
        'corrected', EXISTS (SELECT FROM lines_check x WHERE x.corrects_id = c.id),
        'catches', (SELECT coalesce(jsonb_agg(jsonb_build_object(
                'species', p.name, 'sex', k.sex, 'age', k.age, 'alive', k.alive_on_arrival,
                'held_where', k.held_where, 'is_target', k.is_target, 'fate', k.fate,
                'means', k.means, 'dispatched_by', kb.name, 'condition', k.condition,
                'handed_to', k.handed_to, 'reference', k.reference, 'weight_kg', k.weight_kg,
                'device_tag', k.device_tag, 'site_tag', k.site_tag, 'seal', k.seal)
                ORDER BY k.id), '[]')
            FROM lines_catch k
            JOIN rulebook_species p ON p.id = k.species_id
            LEFT JOIN people_membership kb ON kb.id = k.dispatched_by_id
            WHERE k.check_made_id = c.id),
        'photos', (SELECT coalesce(jsonb_agg(jsonb_build_object('id', f.id, 'here', EXISTS (
                SELECT FROM journal_photosent y
                WHERE y.id = f.id AND y.team_id = f.team_id AND y.sha256 = f.sha256))
                ORDER BY f.id), '[]')
            FROM lines_photo f WHERE f.check_made_id = c.id)) AS told
    FROM lines_check c LEFT JOIN people_membership sb ON sb.id = c.supervised_by_id
    WHERE c.team_id = %(team)s AND c.set_id = %(set)s
    UNION ALL
    SELECT a.at, a.cause, a.id, a.act_id, a.by_id, jsonb_build_object(
        'placement', a.placement, 'device', d.mark, 'to', r.name,
        'loop_diameter_m', a.loop_diameter_m, 'loop_height_m', a.loop_height_m,
        'water_depth_m', a.water_depth_m, 'place', a.place IS NOT NULL)
    FROM lines_arrangement a
    LEFT JOIN gear_device d ON d.id = a.device_id
    LEFT JOIN people_membership r ON r.id = a.responsible_id
    WHERE a.team_id = %(team)s AND a.set_id = %(set)s
    UNION ALL
    SELECT g.at, 'signal', g.id, g.act_id, g.by_id, jsonb_build_object('what', g.what)
    FROM lines_signal g WHERE g.team_id = %(team)s AND g.set_id = %(set)s
    UNION ALL
    SELECT e.at, 'ended', e.id, e.act_id, e.by_id,
           jsonb_build_object('how', e.how, 'note', e.note)
    FROM lines_ending e WHERE e.team_id = %(team)s AND e.set_id = %(set)s
    UNION ALL
    SELECT w.at, 'waiting', w.id, w.act_id, w.by_id,
           jsonb_build_object('alive', w.alive, 'species', p.name, 'note', w.note)
    FROM lines_waiting w LEFT JOIN rulebook_species p ON p.id = w.species_id
    WHERE w.team_id = %(team)s AND w.set_id = %(set)s
    UNION ALL
    SELECT n.at, 'waiting_end', n.id, n.act_id, n.by_id, jsonb_build_object(
        'fate', n.fate, 'means', n.means, 'condition', n.condition, 'handed_to', n.handed_to,
        'reference', n.reference,
        'corrected', EXISTS (
            SELECT FROM lines_check c JOIN lines_check x ON x.corrects_id = c.id
            WHERE c.act_id = n.act_id))
    FROM lines_waitingend n JOIN lines_waiting w ON w.id = n.waiting_id
    WHERE n.team_id = %(team)s AND w.set_id = %(set)s
    UNION ALL
    SELECT x.at, 'duty', x.id, NULL, NULL, jsonb_build_object(
        'duty', d.kind, 'was', x.was, 'now', x.now, 'due_at', x.due_at,
        'noticed_at', x.noticed_at)
    FROM duties_transition x JOIN duties_duty d ON d.id = x.duty_id
    WHERE x.team_id = %(team)s AND x.now = 'overdue'
      AND (d.set_id = %(set)s
           OR d.waiting_id IN (SELECT id FROM lines_waiting WHERE set_id = %(set)s))
)
SELECT e.at, e.kind, e.id, coalesce(m.name, ''), e.by_id, j.received_at, e.told
FROM events e
LEFT JOIN people_membership m ON m.id = e.by_id
LEFT JOIN journal_act j ON j.id = e.act_id
ORDER BY e.at DESC, e.id DESC
LIMIT %(most)s
