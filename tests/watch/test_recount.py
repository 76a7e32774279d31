"""What is kept of effort and catches against the record, by a command."""

from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from tests.world import START, World
from trapline.ground.scope import team_scope
from trapline.standing.models import Interval, SetState, Tally
from trapline.watch.tallying import tally_all

pytestmark = pytest.mark.django_db


def said(*options: str) -> str:
    out = StringIO()
    call_command("recount", *options, stdout=out)
    return out.getvalue()


def test_what_is_kept_is_what_the_record_gives_until_something_writes_around_it(
    world: World,
) -> None:
    one, other = world.set("S1"), world.set("S2")
    for day in (1, 2):
        for set_id in (one, other):
            world.check(world.student, set_id, START + timedelta(days=day))
    assert tally_all(START) == 2
    world.check(world.student, one, START + timedelta(days=3))
    assert said() == "0 rows differed.\n"  # what waits to be counted is no difference
    with team_scope(world.team):
        # It looked, and left everything as it was.
        assert SetState.objects.exclude(untallied_from=None).count() == 1
        Tally.objects.filter(set=other).update(looks=7)
        Interval.objects.filter(set=one, till_at=START + timedelta(days=1)).update(others=1)
    out = StringIO()
    with pytest.raises(CommandError, match="rows differ; --mend"):
        call_command("recount", stdout=out)
    lines = out.getvalue().splitlines()
    assert any(str(other) in line and "tally" in line and "kept (7," in line for line in lines)
    assert any(str(one) in line and "interval" in line for line in lines)
    assert said("--mend").endswith("rows differed.\n")
    assert said() == "0 rows differed.\n"
    with team_scope(world.team):
        assert sorted(Tally.objects.values_list("looks", flat=True)) == [2, 3]
