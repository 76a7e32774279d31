-- Findings that acts of a member opened and closed.
SELECT count(*) FILTER (WHERE o.acted_by_id = %(member)s),
       count(*) FILTER (WHERE z.acted_by_id = %(member)s)
FROM findings_finding f
LEFT JOIN journal_act o ON o.id = f.opened_by_id AND o.acted_at >= %(begins)s
    AND o.acted_at < %(ends)s
LEFT JOIN journal_act z ON z.id = f.closed_by_id AND z.acted_at >= %(begins)s
    AND z.acted_at < %(ends)s
WHERE f.team_id = %(team)s
