-- Rounds of these days: a member's looks on one line on one date are one. By travel: how many, how
-- many looks, and the lengths of the lines' paths together (0 where none is drawn).
SELECT r.travel, count(*), sum(r.looks), sum(r.path_m), count(*) FILTER (WHERE r.path_m > 0)
FROM (
    SELECT n.id, n.travel, c.by_id, c.local_date, count(*) AS looks,
           coalesce(max(ST_Length(n.path)), 0) AS path_m
    FROM lines_check c
    JOIN lines_set x ON x.id = c.set_id
    JOIN lines_line n ON n.id = x.line_id
    WHERE c.team_id = %(team)s AND NOT c.withdraws AND c.how_seen = 'at_set'
      AND NOT EXISTS (SELECT FROM lines_check y WHERE y.corrects_id = c.id)
      AND (%(member)s::uuid IS NULL OR c.by_id = %(member)s)
      AND (%(first)s::date IS NULL OR c.local_date >= %(first)s)
      AND (%(last)s::date IS NULL OR c.local_date <= %(last)s)
    GROUP BY n.id, n.travel, c.by_id, c.local_date
) r
GROUP BY r.travel
ORDER BY r.travel
