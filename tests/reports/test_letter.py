"""A landowner's letter: what was taken on their land, without a place, and whether all is out."""

import io
from datetime import date
from typing import Any
from uuid import UUID

import pytest
from pypdf import PdfReader

from tests.pages.cast import client_of
from tests.reports.season import local, season
from tests.world import PLACE, START, World
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.record.desk import submit
from trapline.reports.letter import Letter, Told, letter
from trapline.reports.period import Period

pytestmark = pytest.mark.django_db
DAYS = Period(date(2026, 1, 1), date(2026, 1, 31))
QUERY = "first=2026-01-01&last=2026-01-31&share=Every+third+pelt,+given+on+the+spot."


def parcel(lon: float, lat: float) -> dict[str, Any]:
    """A square of about a kilometre around a place."""
    a, b = 0.01, 0.005
    ring = [(lon - a, lat - b), (lon + a, lat - b), (lon + a, lat + b), (lon - a, lat + b)]
    return {"type": "Polygon", "coordinates": [[*ring, ring[0]]]}


def permitted(world: World, lon: float = PLACE[0], lat: float = PLACE[1]) -> UUID:
    key = new_id()
    said = {
        "permission": key, "parcel": parcel(lon, lat), "name": "The mill’s wood",
        "holder": "The mill", "valid_from": "2025-07-01", "valid_until": "2026-06-30",
        "conditions": "Every third pelt.",
    }  # fmt: skip
    submit(world.manager, "keep_permission", said, at=START, now=START)
    return key


def told(world: World, key: UUID, days: Period = DAYS) -> Letter:
    with team_scope(world.team):
        return letter(world.team, key, days)


def test_it_counts_what_was_taken_and_let_go_on_the_parcel(world: World) -> None:
    season(world)
    said = told(world, permitted(world))
    assert said.species == (Told("Lynx", 0, 1), Told("Marten", 1, 0))
    assert (said.sets, said.standing, said.lost) == (2, 2, 0) and not said.all_out


def test_what_was_done_elsewhere_or_on_other_days_is_not_in_it(world: World) -> None:
    season(world)
    elsewhere = told(world, permitted(world, PLACE[0] + 0.05))
    assert (elsewhere.species, elsewhere.sets) == ((), 0)
    early = told(world, permitted(world), Period(date(2026, 1, 1), date(2026, 1, 6)))
    assert early.species == (Told("Marten", 1, 0),)


def test_all_sets_are_out_once_the_last_was_pulled(world: World) -> None:
    caught = season(world)
    key = permitted(world)
    submit(world.instructor, "pull_set", {"set": caught.snare}, at=local(29, 9), now=local(29, 9))
    assert not told(world, key).all_out
    submit(world.instructor, "pull_set", {"set": caught.body}, at=local(30, 9), now=local(30, 9))
    said = told(world, key)
    assert said.all_out and said.out_at == local(30, 9)


def test_the_paper_says_the_same_and_names_no_place(world: World) -> None:
    season(world)
    key = permitted(world)
    answer = client_of(world.manager).get(f"/t/north/land/permissions/{key}/letter.pdf?{QUERY}")
    assert answer["Content-Type"] == "application/pdf"
    text = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(answer.content)).pages)
    text = " ".join(text.split())
    wanted = ("To The mill", "Marten 1 0", "2 sets still stand", "Every third pelt, given")
    assert [words for words in (*wanted, "Page 1 of 1") if words not in text] == []
    for place in ("128.4", "61.9", "Creek line", "S1", "Signe"):
        assert place not in text


def test_days_in_the_wrong_order_are_refused_in_a_sentence(world: World) -> None:
    path = f"/t/north/land/permissions/{permitted(world)}/letter/"
    answer = client_of(world.manager).get(f"{path}?first=2026-02-01&last=2026-01-01")
    assert answer.status_code == 422 and b"error" in answer.content
