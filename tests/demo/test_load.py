"""The small demo in a real database: every act applied, and a record that hangs together."""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from io import StringIO
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.contrib.auth import authenticate
from django.core.management import CommandError, call_command
from django.db import connection, transaction

from tests.databases import own_database
from tests.demo.terrain.conftest import made
from tests.world import World
from trapline.demo import cast
from trapline.demo.load import Loaded, OtherTeamsHereError, load
from trapline.demo.management.commands import demo
from trapline.demo.practice import LAID, practice
from trapline.demo.story.finding import TARGET
from trapline.demo.story.furs import UNSAID
from trapline.demo.story.tell import Story, tell
from trapline.findings.animals import CODES as OF_ANIMALS
from trapline.findings.limits import CODE as LIMIT
from trapline.findings.looking import CODES
from trapline.findings.models import Finding
from trapline.ground.scope import team_scope
from trapline.people.models import Team
from trapline.reports.harvest import harvest
from trapline.reports.period import Period
from trapline.reports.yields import yields
from trapline.standing.fold import fold_parts
from trapline.standing.models import PartStay
from trapline.standing.wear import part_wear
from trapline.wording.finding_words import told

NOW = datetime(2026, 11, 25, 21, 20, tzinfo=UTC)  # 14:20 there
SEED = 11
# Asked of other worlds only: the record knows nobody as away.
ONLY_WHAT_IF = {"nobody_to_tend"}
# What a record amounts to without the ids and moments that a database gives it.
RECORD = {
    "checks": """
        SELECT x.label, m.name, c.at, c.found, c.sign, c.gone_how, c.done, c.flags, c.note,
               c.counts, ST_AsText(c.position), c.withdraws
        FROM lines_check c JOIN lines_set x ON x.id = c.set_id
        JOIN people_membership m ON m.id = c.by_id ORDER BY c.at, x.label, c.withdraws""",
    "catches": """
        SELECT k.animal, s.code, k.sex, k.age, k.fate, k.site_tag, k.seal, k.weight_kg, k.is_target
        FROM lines_catch k JOIN rulebook_species s ON s.id = k.species_id ORDER BY k.animal""",
    "arrangements": """
        SELECT x.label, a.at, a.cause, m.name, d.mark, ST_AsText(a.place)
        FROM lines_arrangement a JOIN lines_set x ON x.id = a.set_id
        LEFT JOIN people_membership m ON m.id = a.responsible_id
        LEFT JOIN gear_device d ON d.id = a.device_id ORDER BY a.at, x.label, a.cause""",
    "parts": "SELECT part_id, at, state, device_id FROM gear_partfact ORDER BY at, part_id, state",
    "numbers": "SELECT number, use, animal FROM lines_numberspent ORDER BY animal, number",
    "duties": """
        SELECT d.kind, x.label, d.basis_at, d.due_at, d.state, d.done_at, d.stage
        FROM duties_duty d LEFT JOIN lines_set x ON x.id = d.set_id
        ORDER BY d.basis_at, d.due_at, x.label, d.kind, d.state""",
    "transitions": """
        SELECT t.was, t.now, t.at, t.noticed_at FROM duties_transition t
        ORDER BY t.at, t.noticed_at, t.was, t.now""",
    "notices": """
        SELECT n.stage, m.name, n.made_at, n.state FROM duties_notice n
        JOIN people_membership m ON m.id = n.to_id ORDER BY n.made_at, m.name, n.stage, n.state""",
}


def rows(query: str) -> list[tuple[Any, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(query)
        return list(cursor.fetchall())


def digests() -> dict[str, str]:
    # Sorted whole: two rows alike in all that the query orders by may come either way round.
    return {
        name: hashlib.sha256(repr(sorted(map(repr, rows(query)))).encode()).hexdigest()
        for name, query in RECORD.items()
    }


@pytest.fixture(scope="module")
def story() -> Story:
    return tell(made(SEED), SEED, NOW, small=True)


@pytest.fixture(scope="module", autouse=True)
def nobody_there(django_db_setup: None, django_db_blocker: Any) -> Iterator[None]:
    """A database of these tests' own, in which no team stands: the demo goes into no other."""
    usual = settings.DATABASES["default"]["NAME"]
    with own_database("_demo") as name, django_db_blocker.unblock():
        _use(name)
        yield
        _use(usual)


def _use(name: str) -> None:
    connection.close()
    connection.settings_dict["NAME"] = settings.DATABASES["default"]["NAME"] = name


@dataclass
class Commanded:
    """What `manage.py demo` said, drew and sent, and what it loaded."""

    said: str
    folder: Path
    loaded: Loaded


def by_command(patch: pytest.MonkeyPatch, folder: Path) -> Commanded:
    """The command but for its practice ground; the valley is one raised for all tests."""
    made_of: list[Loaded] = []

    def load_and_tell(*told: Any) -> Loaded:
        made_of.append(load(*told))
        return made_of[0]

    patch.setattr(settings, "MEDIA_ROOT", folder)
    patch.setattr(settings, "EMAIL_BACKEND", "django.core.mail.backends.filebased.EmailBackend")
    patch.setattr(settings, "EMAIL_FILE_PATH", str(folder / "mail"), raising=False)
    patch.setattr(demo, "build", made)
    patch.setattr(demo, "load", load_and_tell)
    patch.setattr(demo, "practice", lambda *_: None)
    patch.setattr("trapline.ground.clock.machine", lambda: NOW)
    said = StringIO()
    call_command("demo", small=True, seed=SEED, stdout=said)
    return Commanded(said.getvalue(), folder, made_of[0])


@pytest.fixture(scope="module")
def commanded(
    nobody_there: None, django_db_blocker: Any, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Commanded]:
    """The small demo, loaded by its command for all tests here, and taken back."""
    with django_db_blocker.unblock(), transaction.atomic():
        with pytest.MonkeyPatch.context() as patch:
            told = by_command(patch, tmp_path_factory.mktemp("demo"))
        yield told
        transaction.set_rollback(True)


@pytest.fixture(scope="module")
def loaded(commanded: Commanded) -> Loaded:
    return commanded.loaded


def test_each_part_of_the_record_says_something(loaded: Loaded) -> None:
    assert all(rows(query) for query in RECORD.values())


def test_every_act_of_the_story_was_applied(loaded: Any, story: Story) -> None:
    assert rows("SELECT DISTINCT state FROM journal_act") == [("applied",)]
    ((acts,),) = rows("SELECT count(*) FROM journal_act WHERE kind = 'log_check'")
    assert acts == sum(deed.kind == "log_check" for deed in story.deeds)


def test_no_pulled_set_has_an_open_check_duty_and_every_other_has_one(loaded: Any) -> None:
    open_ones = """SELECT s.active, count(d.id) FROM standing_setstate s
        LEFT JOIN duties_duty d ON d.set_id = s.set_id AND d.kind = 'check'
             AND d.state IN ('open', 'overdue')
        GROUP BY s.active, s.set_id"""
    assert {(active, count) for active, count in rows(open_ones)} == {(True, 1), (False, 0)}


def test_every_catch_has_its_check_and_every_check_that_found_an_animal_its_catch(
    loaded: Any,
) -> None:
    pairs = """SELECT c.found, k.id IS NULL FROM lines_check c
        FULL JOIN lines_catch k ON k.check_made_id = c.id
        WHERE k.id IS NOT NULL OR c.found = 'animal'"""
    assert set(rows(pairs)) == {("animal", False)}


def test_every_tag_is_from_a_book_and_used_once(loaded: Any) -> None:
    ((tags, different),) = rows(
        "SELECT count(*), count(DISTINCT site_tag) FROM lines_catch WHERE site_tag <> ''"
    )
    ((spent,),) = rows(
        "SELECT count(*) FROM lines_numberspent n JOIN lines_series s ON s.id = n.series_id"
        " WHERE s.kind = 'site_tag'"
    )
    assert 0 < tags == different == spent


def test_what_stands_tells_of_as_many_target_animals_as_came(loaded: Any, story: Story) -> None:
    ((targets,),) = rows("SELECT sum(targets) FROM standing_interval")
    assert targets == sum(n for (_, cause), n in story.tally.seen.items() if cause == TARGET)


def test_a_part_is_in_one_place_at_a_time_and_a_spent_cable_stays_spent(loaded: Any) -> None:
    again = """SELECT count(*) FROM gear_partfact a JOIN gear_partfact b USING (part_id)
        WHERE a.state = 'spent' AND b.at > a.at"""
    assert rows(again) == [(0,)]
    assert rows("SELECT count(*) FROM standing_partstay WHERE upper_inf(during)") == rows(
        "SELECT count(*) FROM gear_part"
    )


def test_gear_replayed_from_its_facts_is_what_stands_and_wears_the_same(loaded: Loaded) -> None:
    """By a plain walk over the facts, and by the fold from nothing."""
    query = """SELECT part_id, lower(during), upper(during), state, device_id
        FROM standing_partstay"""
    facts = """SELECT f.part_id, f.at, f.state, f.device_id FROM gear_partfact f
        WHERE NOT EXISTS (SELECT FROM lines_check c JOIN lines_check x ON x.corrects_id = c.id
                          WHERE c.act_id = f.act_id)
        ORDER BY f.part_id, f.at, f.id"""
    stood, walked = set(rows(query)), set()
    walk = [*rows(facts), (None, None, None, None)]
    for (part, at, state, device), (after, till, *_) in pairwise(walk):
        until = till if after == part else None
        if until != at:
            walked.add((part, at, until, state, device))
    assert stood == walked != set()
    with team_scope(loaded.team), transaction.atomic():
        wear = part_wear(loaded.team, NOW)
        PartStay.objects.all().delete()
        fold_parts(loaded.team, [one.part for one in wear])
        assert set(rows(query)) == stood
        assert part_wear(loaded.team, NOW) == wear
        transaction.set_rollback(True)


def test_now_something_is_due_something_is_late_and_an_animal_waits(loaded: Any) -> None:
    with connection.cursor() as cursor:
        cursor.execute(
            """SELECT count(*) FILTER (WHERE kind = 'check' AND state = 'overdue'),
                      count(*) FILTER (WHERE kind = 'check' AND due_at BETWEEN %s AND %s),
                      count(*) FILTER (WHERE kind = 'animal_waiting')
               FROM duties_duty WHERE state IN ('open', 'overdue')""",
            [NOW, NOW + timedelta(hours=24)],
        )
        late, soon, waiting = cursor.fetchone()
    assert 1 <= late <= 4
    assert soon >= 1
    assert waiting == 1


def test_the_story_is_in_season_on_its_last_day(loaded: Any) -> None:
    said = "SELECT params->>'opens_on' FROM rulebook_rule WHERE code = 'season-land-furbearers'"
    assert rows(said) == [("10-11",)]  # 45 days before 25 November


def test_the_reports_of_the_demo_hold_every_animal_and_every_member(
    loaded: Loaded,
) -> None:
    team = loaded.team
    with team_scope(team):
        told, table = harvest(team, Period()), yields(team, Period(), NOW)
    assert len(list(told.animals())) == rows("SELECT count(*) FROM lines_catch")[0][0]
    assert sum(one.nil for one in told.licences) == 3  # the small demo has one line
    assert len(table) == len(cast.PEOPLE)
    assert sum(row.checks_asked for row in table) > sum(row.checks_in_time for row in table) > 0


def test_nobody_has_said_where_the_newest_animals_are_and_no_others(loaded: Any) -> None:
    (unsaid,) = rows("SELECT count(*) FROM kept_animal WHERE place = 'unsaid'")[0]
    assert unsaid <= UNSAID < rows("SELECT count(*) FROM kept_animal")[0][0]


def test_everybody_signs_in_with_the_phrase_that_is_shown(
    loaded: Any, rf: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    call_command("demo", sign_ins=True)
    shown = capsys.readouterr().out
    names = [line.split()[0] for line in shown.splitlines()[1:]]
    assert len(names) == 3
    assert shown.count(cast.PASSPHRASE) == 3
    roles = []
    for name in names:
        person = authenticate(rf.post("/"), username=name, password=cast.PASSPHRASE)
        assert person is not None
        roles.append(cast.BY_KEY[name].role)
    assert roles == ["manager", "instructor", "member"]


def test_it_does_not_load_where_a_team_is_already(loaded: Any, story: Story) -> None:
    before = rows("SELECT count(*) FROM journal_act")
    with pytest.raises(OtherTeamsHereError):
        load(story)
    with pytest.raises(CommandError, match="There is a team in this database already"):
        call_command("demo", small=True)
    assert rows("SELECT count(*) FROM journal_act") == before


@pytest.mark.django_db
def test_without_the_demo_there_are_no_sign_ins_to_tell(world: World) -> None:
    with pytest.raises(CommandError, match="The demo is not loaded here"):
        call_command("demo", sign_ins=True)


def test_a_seed_below_nothing_is_refused_with_a_sentence() -> None:
    with pytest.raises(CommandError, match="--seed: a whole number from 0 on is needed"):
        call_command("demo", seed=-1)


def test_the_command_draws_the_map_and_says_what_it_does(commanded: Commanded) -> None:
    assert list((commanded.folder / "tiles" / "light").rglob("*.webp"))
    assert list((commanded.folder / "tiles" / "dark").rglob("*.webp"))
    mails = list((commanded.folder / "mail").glob("*.log"))
    assert mails, "the last days' notices are mails in files"
    for words in ("raising the valley", "drawing the map", "is there, with"):
        assert words in commanded.said


def test_the_practice_ground_shows_each_kind_of_finding_with_its_remedy(loaded: Any) -> None:
    with transaction.atomic():
        team = Team.objects.get(slug=cast.SLUG)
        sets = practice(team, NOW)
        with team_scope(team.id):
            found = list(Finding.objects.filter(closed_at=None))
        transaction.set_rollback(True)
    assert len(sets) == len(LAID)
    assert {*CODES, LIMIT, *(code for code, _ in OF_ANIMALS.values())} - {
        one.code for one in found
    } == ONLY_WHAT_IF
    for one in found:
        said = told(one.code, one.discriminator, one.numbers)
        assert said.title and said.remedy and "%(" not in said.sentence and "…" not in said.sentence
