-- The version of a team's rulebook that is in force at a moment, or the one that is asked for.
SELECT v.id FROM rulebook_version v
WHERE v.team_id = %(team)s AND v.at <= %(moment)s AND (%(version)s::uuid IS NULL OR v.id = %(version)s)
ORDER BY v.at DESC, v.number DESC LIMIT 1
