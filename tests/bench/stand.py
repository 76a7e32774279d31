"""A team with very many sets, laid by set-based SQL and folded by the program's own fold."""

from datetime import datetime, timedelta
from uuid import UUID

from django.db import connection

from tests.conftest import owner_connection
from tests.world import START, World, make_world
from trapline.binding.bind import bind
from trapline.binding.world import World as AsOf
from trapline.duties.refresh import refresh_checks
from trapline.ground.scope import team_scope
from trapline.standing.fold import fold

LAY = """
WITH act AS (SELECT id FROM journal_act WHERE team_id = %(team)s ORDER BY id LIMIT 1),
numbered AS (SELECT n, uuid7() AS device, uuid7() AS set
             FROM generate_series(%(first)s, %(last)s) n),
devices AS (
    INSERT INTO gear_device (id, team_id, act_id, at, kind_id, mark)
    SELECT n.device, %(team)s, act.id, %(placed)s, %(kind)s, 'bench ' || n.n FROM numbered n, act
    RETURNING 1
), sets AS (
    INSERT INTO lines_set (id, team_id, act_id, at, line_id, label, licence_id, placed_by_id)
    SELECT n.set, %(team)s, act.id, %(placed)s, %(line)s, 'bench ' || n.n, %(licence)s, %(who)s
    FROM numbered n, act RETURNING 1
)
INSERT INTO lines_arrangement
    (id, team_id, act_id, at, set_id, cause, by_id, place, placement, device_id, responsible_id)
SELECT uuid7(), %(team)s, act.id,
       -- every 25th a day earlier: 4 %% fall due a day before the others
       %(placed)s::timestamptz
           - CASE WHEN n.n %% 25 = 0 THEN interval '24 hours' ELSE interval '0' END,
       n.set, 'placed', %(who)s,
       ST_SetSRID(ST_MakePoint(-128.55 + 0.3 * random(), 61.82 + 0.16 * random()), 4326)::geography,
       'land', n.device, %(who)s
FROM numbered n, act
WHERE (SELECT count(*) FROM devices) + (SELECT count(*) FROM sets) > 0
"""


def lay(
    sets: int, placed: datetime = START, *, into: World | None = None, after: int = 0
) -> tuple[World, list[UUID], float]:
    """A world with so many sets; their ids, and how long the fold of all of them took (s).

    into: a world that has `after` of them already; only the new ones are given.
    """
    import time

    world = into or make_world("bench")
    with connection.cursor() as cursor:
        # Foreign keys are checked at the statement's end, so one statement lays all three.
        cursor.execute(
            LAY,
            {
                "team": world.team, "first": after + 1, "last": after + sets, "placed": placed,
                "kind": world.kinds["snare"],
                "line": world.line, "licence": world.licence, "who": world.student.member,
            },
        )  # fmt: skip
        cursor.execute("SELECT id FROM lines_set WHERE team_id = %s ORDER BY id", [world.team])
        ids = [row[0] for row in cursor.fetchall()][after:]
        began = time.perf_counter()
        with team_scope(world.team):
            fold(world.team, ids)
            folded = time.perf_counter() - began
            moment = placed + timedelta(minutes=1)
            for start in range(0, len(ids), 10_000):
                refresh_checks(bind(world.team, ids[start : start + 10_000], AsOf(moment)), moment)
        if not connection.in_atomic_block:
            with owner_connection() as owner:  # the program owns nothing, so it analyses nothing
                owner.execute("ANALYZE")
    return world, ids, folded
