-- Sets whose tallies are to be counted. Their states are locked, as every act on a set locks them.
SELECT s.set_id
FROM standing_setstate s
WHERE s.team_id = %(team)s AND s.untallied_from IS NOT NULL
LIMIT %(batch)s
FOR NO KEY UPDATE SKIP LOCKED
