-- A photograph's file, for whoever may see the set: all (no member), who looks after it now, who
-- made the check. The file counts only if it is the one that the act told of.
SELECT s.bytes, encode(s.sha256, 'hex')
FROM lines_photo p
JOIN lines_check c ON c.id = p.check_made_id
JOIN journal_photosent s ON s.id = p.id AND s.team_id = p.team_id AND s.sha256 = p.sha256
WHERE p.team_id = %(team)s AND p.id = %(photo)s
  AND (%(member)s::uuid IS NULL OR c.by_id = %(member)s
       OR EXISTS (SELECT FROM standing_setstate t
                  WHERE t.set_id = c.set_id AND t.responsible_id = %(member)s))
