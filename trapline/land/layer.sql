-- What the map lays under the sets: permissions first, so that features lie over them.
SELECT jsonb_build_object('type', 'FeatureCollection', 'features',
                          coalesce(jsonb_agg(l.shown ORDER BY l.above), '[]'))::text
FROM (
    (SELECT 0 AS above, jsonb_build_object(
        'type', 'Feature', 'id', p.id, 'geometry', ST_AsGeoJSON(p.parcel, 6)::jsonb,
        'properties', jsonb_build_object(
            'what', 'permission', 'name', p.name, 'from', p.valid_from, 'until', p.valid_until,
            'holds', %(day)s::date BETWEEN p.valid_from AND p.valid_until)) AS shown
     FROM land_permission p
     WHERE p.team_id = %(team)s
       AND (%(member)s::uuid IS NULL OR p.members = '{}' OR %(member)s = ANY (p.members))
     ORDER BY p.valid_until DESC LIMIT %(most)s)
    UNION ALL
    (SELECT 1, jsonb_build_object(
        'type', 'Feature', 'id', f.id, 'geometry', ST_AsGeoJSON(f.shape, 6)::jsonb,
        'properties', jsonb_build_object('what', f.kind, 'name', f.name))
     FROM land_feature f WHERE f.team_id = %(team)s
     ORDER BY f.id LIMIT %(most)s)
) l
