-- A look at a set is written down.
INSERT INTO lines_check
    (id, team_id, act_id, at, set_id, by_id, tz, local_date, supervision, supervised_by_id,
     how_seen, seen_from_m, position, accuracy_m, found, sign, gone_how, done, placement_seen,
     water_depth_m, snow_depth_m, reason, note, counts, flags, corrects_id, withdraws)
VALUES
    (%(id)s, %(team)s, %(act)s, %(at)s, %(set)s, %(by)s, %(tz)s, %(local_date)s,
     %(supervision)s, %(supervised_by)s, %(how_seen)s, %(seen_from_m)s,
     ST_MakePoint(%(lon)s, %(lat)s)::geography, %(accuracy_m)s, %(found)s, %(sign)s, %(gone_how)s,
     %(done)s::text[], %(placement_seen)s, %(water_depth_m)s, %(snow_depth_m)s, %(reason)s,
     %(note)s, %(counts)s, %(flags)s::text[], %(corrects)s, FALSE)
