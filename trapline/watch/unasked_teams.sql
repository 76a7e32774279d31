-- All teams whose catches and licences were last asked under an older rule stamp.
SELECT t.id FROM people_team t
LEFT JOIN journal_setting s ON s.team_id = t.id AND s.name = 'asked-under'
WHERE t.rule_stamp > coalesce((s.value #>> '{}')::bigint, 0)
ORDER BY t.id
