-- The last an act of a batch does: the findings of its sets are to be reckoned now, at the end of the
-- batch or, should that never come, by watch/; and something a page shows has changed.
WITH owed AS (
    UPDATE findings_look SET next_at = %(moment)s
    WHERE team_id = %(team)s AND set_id = ANY (%(sets)s) AND next_at > %(moment)s
)
UPDATE people_team SET change_count = change_count + 1 WHERE id = %(team)s
