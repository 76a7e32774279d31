-- The bound of a check: its duty moved on.
UPDATE duties_duty SET basis_at = %(at)s, due_at = %(at)s::timestamptz + interval '24 hours'
WHERE team_id = %(team)s AND set_id = %(set)s AND kind = 'check' AND state IN ('open', 'overdue')
