"""Darwin Core occurrences: standard terms, places coarsened."""

import csv
import io
from math import asin, cos, radians, sin, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reports.season import season
from tests.world import PLACE, World
from trapline.ground.scope import team_scope
from trapline.reports.occurrences import COLUMNS, coarse, occurrences_csv, put_cell
from trapline.reports.period import Period

# Terms of Darwin Core (TDWG), http-less names as in its quick reference guide.
TERMS = {
    "occurrenceID", "basisOfRecord", "scientificName", "vernacularName", "eventDate", "sex",
    "lifeStage", "individualCount", "samplingProtocol", "decimalLatitude", "decimalLongitude",
    "geodeticDatum", "coordinateUncertaintyInMeters", "dataGeneralizations",
    "informationWithheld",
}  # fmt: skip


def rows(world: World) -> list[dict[str, str]]:
    with team_scope(world.team):
        text = "".join(occurrences_csv(world.team, Period()))
    return list(csv.DictReader(io.StringIO(text)))


def haversine(lat: float, lon: float, lat2: float, lon2: float) -> float:
    a = sin(radians(lat2 - lat) / 2) ** 2
    a += cos(radians(lat)) * cos(radians(lat2)) * sin(radians(lon2 - lon) / 2) ** 2
    return 2 * 6_371_000 * asin(sqrt(a))


def test_the_columns_are_darwin_cores() -> None:
    assert set(COLUMNS) == TERMS


@pytest.mark.django_db
def test_an_exact_place_never_leaves_the_team(world: World) -> None:
    season(world)
    found = rows(world)
    assert [row["scientificName"] for row in found] == ["Martes americana", "Lynx canadensis"]
    assert found[0]["eventDate"] == "2026-01-06" and found[0]["lifeStage"] == "adult"
    for row in found:
        lat, lon = float(row["decimalLatitude"]), float(row["decimalLongitude"])
        assert (lat, lon) == (61.95, -128.35)
        far = haversine(lat, lon, PLACE[1], PLACE[0])
        assert 0 < far <= int(row["coordinateUncertaintyInMeters"])


@pytest.mark.django_db
def test_a_team_may_withhold_its_places(world: World) -> None:
    season(world)
    put_cell(world.team, 0.0)
    row = rows(world)[0]
    assert row["decimalLatitude"] == row["decimalLongitude"] == ""
    assert "withheld" in row["informationWithheld"]


@given(st.floats(-80, 80), st.floats(-179, 179), st.sampled_from([0.01, 0.1, 1.0]))
def test_a_place_lies_within_the_stated_uncertainty(lat: float, lon: float, cell: float) -> None:
    at_lat, at_lon, far = coarse(lat, lon, cell)
    # The sphere of 6,371 km is 0.1 % smaller than 111,320 m a degree.
    assert haversine(lat, lon, at_lat, at_lon) <= far * 1.002 + 2
