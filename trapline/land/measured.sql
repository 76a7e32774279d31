-- Shapes measured on the globe, and whether the team has the same shape of the same kind already.
SELECT g.number, ST_Length(g.shape), ST_Area(g.shape),
       EXISTS (SELECT FROM land_feature f
               WHERE f.team_id = %(team)s AND f.kind = g.kind AND f.shape && g.shape
                 AND ST_AsBinary(f.shape) = ST_AsBinary(g.shape))
FROM (
    SELECT u.number, u.kind, ST_GeogFromWKB(u.wkb) AS shape
    FROM unnest(%(numbers)s::int[], %(kinds)s::text[], %(shapes)s::bytea[]) AS u (number, kind, wkb)
) g
