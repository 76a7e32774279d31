-- All teams with a rulebook: up to when its turns were counted (never: since the team is there), and
-- whether that is written; whether a version has come into force or a rule has begun or ended since; the clocks of its lines, and the days of the year
-- that rules of the version in force hold from and until.
SELECT t.id, s.since, s.written,
       EXISTS (SELECT FROM rulebook_version v
               WHERE v.team_id = t.id AND v.at > s.since AND v.at <= %(moment)s)
       OR EXISTS (SELECT FROM rulebook_rule r
                  WHERE r.version_id = f.id
                    AND (r.holds_from > s.since AND r.holds_from <= %(moment)s
                         OR r.holds_until > s.since AND r.holds_until <= %(moment)s)),
       ARRAY(SELECT DISTINCT l.tz FROM lines_line l WHERE l.team_id = t.id),
       ARRAY(SELECT DISTINCT r.from_day * 10000 + r.until_day FROM rulebook_rule r
             WHERE r.version_id = f.id AND r.from_day IS NOT NULL)
FROM people_team t
CROSS JOIN LATERAL (
    SELECT v.id FROM rulebook_version v
    WHERE v.team_id = t.id AND v.at <= %(moment)s ORDER BY v.at DESC, v.number DESC LIMIT 1
) f
CROSS JOIN LATERAL (
    SELECT coalesce(max((j.value #>> '{}')::timestamptz), t.made_at) AS since, count(*) > 0 AS written
    FROM journal_setting j WHERE j.team_id = t.id AND j.name = 'rules-turned'
) s
ORDER BY t.id
