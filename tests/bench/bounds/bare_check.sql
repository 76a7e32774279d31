-- The bound of a check: its row alone.
INSERT INTO lines_check
    (id, team_id, act_id, at, set_id, by_id, tz, local_date, supervision, how_seen, found, sign,
     gone_how, done, placement_seen, reason, note, counts, flags, withdraws)
VALUES (%(check)s, %(team)s, %(act)s, %(at)s, %(set)s, %(by)s, 'America/Whitehorse', '2026-01-06',
        '', 'at_set', 'in_order', '', '', '{left}', '', '', '', TRUE, '{}', FALSE)
