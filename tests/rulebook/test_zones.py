"""Zones over time: at every moment those of the version in force, and no row lost."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.db import transaction
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.rulebook.conftest import Office, make_office
from tests.rulebook.documents import NEXT_SQUARE, SQUARE, book, zone
from trapline.ground.scope import team_scope
from trapline.land.models import Zone
from trapline.rulebook import outline

OCTOBER, NOVEMBER, DECEMBER = (f"2025-{month}-01T00:00:00Z" for month in (10, 11, 12))
OTHER_WAY_ROUND = {
    "type": "MultiPolygon",
    "coordinates": [[[[14.2, 62.1], [14.2, 62.0], [14.0, 62.0], [14.0, 62.1], [14.2, 62.1]]]],
}


def rows(code: str) -> list[tuple[Any, Any, Any]]:
    found = Zone.objects.filter(code=code).order_by("during")
    return [(row.id, row.during.lower, row.during.upper) for row in found]


def moment(text: str) -> datetime:
    return datetime.fromisoformat(text)


def test_a_zone_stands_from_the_day_of_the_rulebook_on(office: Office) -> None:
    office.take(book(OCTOBER, zone("W")))
    ((_, since, until),) = rows("W")
    assert (since, until) == (moment(OCTOBER), None)


def test_an_unchanged_outline_keeps_its_row_whichever_way_it_is_written(office: Office) -> None:
    office.take(book(OCTOBER, zone("W")))
    before = rows("W")
    office.take(book(NOVEMBER, zone("W", OTHER_WAY_ROUND)))
    assert rows("W") == before


def test_a_corner_added_on_a_straight_line_of_the_chart_is_another_outline(office: Office) -> None:
    # On the globe the line from corner to corner is a great circle, which leaves the parallel.
    ring = [[14.0, 62.0], [14.1, 62.0], *SQUARE["coordinates"][0][1:]]
    office.take(book(OCTOBER, zone("W")))
    office.take(book(NOVEMBER, zone("W", {"type": "Polygon", "coordinates": [ring]})))
    assert len(rows("W")) == 2


def test_a_changed_outline_closes_the_old_row_and_opens_a_new_one(office: Office) -> None:
    office.take(book(OCTOBER, zone("W")))
    ((old, *_),) = rows("W")
    office.take(book(NOVEMBER, zone("W", NEXT_SQUARE)))
    first, second = rows("W")
    assert first == (old, moment(OCTOBER), moment(NOVEMBER))
    assert second[1:] == (moment(NOVEMBER), None)


def test_a_zone_left_out_ends_and_one_drawn_by_hand_stays(office: Office) -> None:
    by_hand = Zone.objects.create(
        team_id=office.team,
        code="H",
        name="By hand",
        area=outline.geometry(book(OCTOBER, zone("H")).zones[0].area),
        during=(moment(OCTOBER), None),
    )
    office.take(book(OCTOBER, zone("W"), zone("E", NEXT_SQUARE)))
    office.take(book(NOVEMBER, zone("W")))
    assert rows("E")[0][2] == moment(NOVEMBER)
    assert rows("W")[0][2] is None
    assert rows("H") == [(by_hand.id, moment(OCTOBER), None)]


def test_a_correction_of_the_same_day_takes_the_old_rows_time_but_not_the_row(
    office: Office,
) -> None:
    office.take(book(OCTOBER, zone("W")))
    ((old, *_),) = rows("W")
    office.take(book(OCTOBER, zone("W", NEXT_SQUARE)))
    kept = Zone.objects.get(id=old)  # a catch may point to it
    assert kept.during.isempty
    (stands,) = Zone.objects.filter(code="W", during__contains=moment(NOVEMBER))
    assert stands.id != old


def test_a_rulebook_for_the_time_between_two_others_fills_only_that(office: Office) -> None:
    office.take(book(OCTOBER, zone("W")))
    office.take(book(DECEMBER, zone("W")))
    office.take(book(NOVEMBER, zone("W", NEXT_SQUARE)))
    assert [row[1:] for row in rows("W")] == [
        (moment(OCTOBER), moment(NOVEMBER)),
        (moment(NOVEMBER), moment(DECEMBER)),
        (moment(DECEMBER), None),
    ]


def test_the_outline_in_the_database_is_the_one_of_the_file(office: Office) -> None:
    hole = [[14.05, 62.02], [14.1, 62.02], [14.1, 62.05], [14.05, 62.05], [14.05, 62.02]]
    area = {"type": "Polygon", "coordinates": [SQUARE["coordinates"][0], hole]}
    office.take(book(OCTOBER, zone("W", area)))
    stored = Zone.objects.get(code="W").area
    assert stored.srid == 4326
    assert [[list(p) for p in ring] for ring in stored[0].coords] == area["coordinates"]


_START = datetime(2025, 1, 1, tzinfo=UTC)
_VERSIONS = st.lists(
    st.tuples(
        st.integers(0, 6),
        st.dictionaries(
            st.sampled_from("ABC"), st.tuples(st.booleans(), st.booleans()), max_size=3
        ),
    ),
    min_size=1,
    max_size=6,
)


@pytest.mark.django_db
@settings(max_examples=40, deadline=None)
@given(_VERSIONS)
def test_at_every_moment_the_zones_are_those_of_the_version_in_force(
    taken: list[tuple[int, dict[str, tuple[bool, bool]]]],
) -> None:
    """Against a plain reckoning: of the versions begun, the latest begun and latest taken in."""
    with transaction.atomic():
        office = make_office("valley")
        with team_scope(office.team):
            for day, zones in taken:
                drawn = [
                    zone(code, SQUARE if wide else NEXT_SQUARE, "New" if renamed else "Old")
                    for code, (wide, renamed) in zones.items()
                ]
                office.take(book((_START + timedelta(days=day)).isoformat(), *drawn))
            for half_day in range(-1, 16):
                at = _START + timedelta(hours=12 * half_day)
                assert _standing(at) == _by_hand(taken, half_day / 2)
        transaction.set_rollback(True)


def _standing(at: datetime) -> dict[str, tuple[bool, bool]]:
    square = outline.geometry(book(OCTOBER, zone("W")).zones[0].area)
    return {
        row.code: (outline.same(row.area, square), row.name == "New")
        for row in Zone.objects.filter(during__contains=at)
    }


def _by_hand(taken: list[tuple[int, dict[str, Any]]], day: float) -> dict[str, Any]:
    begun = [(start, number, zones) for number, (start, zones) in enumerate(taken) if start <= day]
    return max(begun, key=lambda one: one[:2])[2] if begun else {}
