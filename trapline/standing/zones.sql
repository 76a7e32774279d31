-- The zones of some sets, after an outline has changed.
UPDATE standing_setstate s SET zone_codes = z.codes
FROM (
    SELECT s.set_id, ARRAY(
        SELECT z.code FROM land_zone z
        WHERE z.team_id = s.team_id AND upper_inf(z.during) AND ST_Intersects(z.area, s.place)
        ORDER BY z.code) AS codes
    FROM standing_setstate s WHERE s.team_id = %(team)s AND s.set_id = ANY (%(sets)s)
) z
WHERE s.set_id = z.set_id AND s.zone_codes IS DISTINCT FROM z.codes
