-- What each member's rounds amount to: their check duties, and the looks they took.
-- `spans`: for each zone of a line, the instants within which a duty counts (null: open).
WITH spans AS (
    SELECT * FROM unnest(%(zones)s::text[], %(begins)s::timestamptz[], %(ends)s::timestamptz[])
        AS s (tz, begins, ends)
), asked AS (
    SELECT d.who_id AS member, count(*) AS asked,
           count(*) FILTER (WHERE d.state = 'done' AND d.done_at < d.due_at) AS in_time
    FROM duties_duty d
    JOIN lines_set x ON x.id = d.set_id
    JOIN lines_line l ON l.id = x.line_id
    JOIN spans s ON s.tz = l.tz
    CROSS JOIN LATERAL (SELECT coalesce(d.done_at, d.due_at) AS told_at) t
    WHERE d.team_id = %(team)s AND d.kind = 'check' AND d.due_at IS NOT NULL
      AND (d.state = 'done' OR d.state IN ('open', 'overdue') AND d.due_at <= %(moment)s)
      AND (s.begins IS NULL OR t.told_at >= s.begins) AND (s.ends IS NULL OR t.told_at < s.ends)
      AND (%(member)s::uuid IS NULL OR d.who_id = %(member)s)
    GROUP BY d.who_id
), looked AS (
    SELECT i.by_id AS member, count(*) AS looks, sum(i.nights) AS nights,
           sum(i.targets) AS targets, sum(i.others) AS others,
           percentile_cont(0.5) WITHIN GROUP (ORDER BY i.till_at - i.from_at)
               FILTER (WHERE i.targets + i.others > 0) AS held_median,
           max(i.till_at - i.from_at) FILTER (WHERE i.targets + i.others > 0) AS held_most,
           array_agg(i.nights ORDER BY i.till_at, i.id) AS each_nights,
           array_agg(i.found ORDER BY i.till_at, i.id) AS each_found,
           array_agg(i.targets > 0 ORDER BY i.till_at, i.id) AS each_target,
           array_agg(i.set_id ORDER BY i.till_at, i.id) AS each_set
    FROM standing_interval i
    JOIN lines_check c ON c.id = i.id
    WHERE i.team_id = %(team)s AND i.till_at > i.from_at
      AND (%(first)s::date IS NULL OR c.local_date >= %(first)s)
      AND (%(last)s::date IS NULL OR c.local_date <= %(last)s)
      AND (%(member)s::uuid IS NULL OR i.by_id = %(member)s)
    GROUP BY i.by_id
)
SELECT m.id, m.name, m.role, coalesce(a.in_time, 0), coalesce(a.asked, 0), coalesce(k.looks, 0),
       coalesce(k.nights, 0), coalesce(k.targets, 0), coalesce(k.others, 0),
       k.held_median, k.held_most, k.each_nights, k.each_found, k.each_target, k.each_set
FROM people_membership m
LEFT JOIN asked a ON a.member = m.id
LEFT JOIN looked k ON k.member = m.id
WHERE m.team_id = %(team)s AND (%(member)s::uuid IS NULL OR m.id = %(member)s)
  AND (m.ended_at IS NULL OR a.member IS NOT NULL OR k.member IS NOT NULL)
ORDER BY lower(m.name), m.id
