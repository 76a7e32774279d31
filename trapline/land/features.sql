-- The first features of each kind by name, with their size on the globe.
SELECT n.id, n.kind, n.name, n.source, GeometryType(n.shape::geometry), ST_Length(n.shape),
       ST_Area(n.shape), n.total
FROM (
    SELECT f.*, count(*) OVER (PARTITION BY f.kind) AS total,
           row_number() OVER (PARTITION BY f.kind ORDER BY f.name, f.id) AS place
    FROM land_feature f WHERE f.team_id = %(team)s
) n
WHERE n.place <= %(most)s
ORDER BY n.kind, n.name, n.id
