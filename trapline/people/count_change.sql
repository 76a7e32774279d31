UPDATE people_team SET change_count = change_count + 1 WHERE id = %(team)s
