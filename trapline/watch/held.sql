-- Held acts of all teams, oldest first.
SELECT a.id, a.team_id, a.received_at FROM journal_act a
WHERE a.state = 'held'
ORDER BY a.received_at
LIMIT %(batch)s
