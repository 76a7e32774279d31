-- An act is written down, once: its id is the only idempotency key of the house.
INSERT INTO journal_act
    (id, team_id, kind, version, acted_by_id, sent_by_id, needs, body, sha256, acted_at, wall_at,
     skew_s, mono_s, session, fix_at, clock_flagged, received_at, state)
VALUES
    (%(id)s, %(team)s, %(kind)s, %(version)s, %(acted_by)s, %(sent_by)s, %(needs)s, %(body)s,
     %(sha256)s, %(acted_at)s, %(wall_at)s, %(skew_s)s, %(mono_s)s, %(session)s, %(fix_at)s,
     %(clock_flagged)s, %(received_at)s, 'applied')
ON CONFLICT (id) DO NOTHING
