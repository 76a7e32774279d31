-- Puts what a sweep did back, so that the next run finds the same work.
WITH turned AS (DELETE FROM duties_transition WHERE team_id = %(team)s AND now = 'overdue'),
told AS (DELETE FROM duties_notice WHERE team_id = %(team)s)
UPDATE duties_duty SET state = 'open', stage = 0, next_at = due_at - interval '4 hours'
WHERE team_id = %(team)s AND state = 'overdue'
