-- A photograph's file is kept once, under the id that its phone gave it.
INSERT INTO journal_photosent (id, team_id, media_type, bytes, sent_by_id, received_at)
VALUES (%(id)s, %(team)s, %(media_type)s, %(bytes)s, %(sent_by)s, %(received_at)s)
ON CONFLICT (id) DO NOTHING
