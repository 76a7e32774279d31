-- A look at a set is written down. It is flagged where the phone was far from where the set stood
-- then, by more than its own accuracy and what the person says. A camera is seen from anywhere, who
-- did not reach the set was elsewhere, and a set that was moved has its new place from this look.
WITH here AS (
    SELECT ST_MakePoint(%(lon)s::float8, %(lat)s::float8)::geography AS position
)
INSERT INTO lines_check
    (id, team_id, act_id, at, set_id, by_id, tz, local_date, supervision, supervised_by_id,
     how_seen, seen_from_m, position, accuracy_m, found, sign, gone_how, done, placement_seen,
     water_depth_m, snow_depth_m, reason, note, counts, flags, corrects_id, withdraws)
SELECT
     %(id)s, %(team)s, %(act)s, %(at)s::timestamptz, %(set)s, %(by)s, %(tz)s, %(local_date)s,
     %(supervision)s, %(supervised_by)s, %(how_seen)s::text, %(seen_from_m)s::float8,
     here.position, %(accuracy_m)s::float8, %(found)s::text, %(sign)s, %(gone_how)s,
     %(done)s::text[], %(placement_seen)s, %(water_depth_m)s, %(snow_depth_m)s, %(reason)s,
     %(note)s, %(counts)s,
     %(flags)s::text[] || CASE
         WHEN here.position IS NULL OR %(how_seen)s::text = 'camera'
           OR %(found)s::text = 'not_reached' OR 'moved' = ANY (%(done)s::text[])
         THEN '{}'
         WHEN (SELECT ST_Distance(here.position, p.place) FROM standing_setperiod p
               WHERE p.team_id = %(team)s AND p.set_id = %(set)s AND p.during @> %(at)s::timestamptz)
              - coalesce(%(accuracy_m)s::float8, 0) - coalesce(%(seen_from_m)s::float8, 0)
              > %(far_m)s::float8
         THEN '{far_from_set}'
         ELSE '{}' END::text[],
     %(corrects)s, FALSE
FROM here
