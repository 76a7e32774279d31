-- The bare spatial joins of a findings sweep: nearest feature of each kind within reach, and leave
-- that covers the place.
SELECT s.set_id, f.trail, f.road, f.dwelling, f.water, f.boundary, e.leave
FROM standing_setstate s
LEFT JOIN LATERAL (
    SELECT min(ST_Distance(o.shape, s.place)) FILTER (WHERE o.kind = 'trail') AS trail,
           min(ST_Distance(o.shape, s.place)) FILTER (WHERE o.kind = 'road') AS road,
           min(ST_Distance(o.shape, s.place)) FILTER (WHERE o.kind = 'dwelling') AS dwelling,
           min(ST_Distance(o.shape, s.place)) FILTER (WHERE o.kind = 'water') AS water,
           min(ST_Distance(o.shape, s.place)) FILTER (WHERE o.kind = 'boundary') AS boundary
    FROM land_feature o
    WHERE o.team_id = %(team)s AND ST_DWithin(o.shape, s.place, %(reach)s)
) f ON TRUE
LEFT JOIN LATERAL (
    SELECT count(*) AS leave FROM land_permission o
    WHERE o.team_id = %(team)s AND ST_Covers(o.parcel, s.place)
) e ON TRUE
WHERE s.team_id = %(team)s AND s.set_id = ANY (%(sets)s) AND s.active
