"""Tracing and thinning. Oracle: GEOS, through GeoDjango, for areas, containment and distance."""

import numpy as np
import pytest
from django.contrib.gis.geos import LineString, Point, Polygon
from numpy.typing import NDArray

from trapline.demo.terrain.outline import (
    along,
    area,
    distance_to_line,
    inside,
    length,
    soften,
    thin,
    trace,
)


@pytest.fixture(params=range(6))
def mask(request: pytest.FixtureRequest) -> NDArray[np.bool_]:
    field = np.random.default_rng(request.param).random((14, 17))
    return np.asarray(field < 0.25 + 0.1 * request.param)


def test_rings_enclose_exactly_the_cells(mask: NDArray[np.bool_]) -> None:
    rings = trace(mask)
    assert sum(area(ring) for ring in rings) == pytest.approx(mask.sum())
    centres = np.stack(np.meshgrid(np.arange(17) + 0.5, np.arange(14) + 0.5), axis=-1)
    times = sum(inside(centres.reshape(-1, 2), ring).astype(int) for ring in rings)
    assert np.array_equal(np.asarray(times) % 2 == 1, mask.ravel())


def test_rings_are_closed_and_simple(mask: NDArray[np.bool_]) -> None:
    for ring in trace(mask):
        assert np.array_equal(ring[0], ring[-1])
        assert Polygon(ring.tolist()).valid
        assert abs(area(ring)) == pytest.approx(Polygon(ring.tolist()).area)


def test_a_thinned_line_stays_within_its_tolerance() -> None:
    line = np.random.default_rng(1).normal(0, 5, (400, 2)).cumsum(axis=0)
    for tolerance in (0.5, 5.0, 40.0):
        kept = thin(line, tolerance)
        assert len(kept) < len(line)
        assert distance_to_line(line, kept).max() <= tolerance
        assert np.array_equal(kept[[0, -1]], line[[0, -1]])


def test_distances_and_lengths_are_those_of_geos() -> None:
    rng = np.random.default_rng(2)
    line, points = rng.uniform(0, 100, (12, 2)), rng.uniform(-20, 120, (60, 2))
    shape = LineString(line.tolist())
    expected = [shape.distance(Point(*point)) for point in points.tolist()]
    assert distance_to_line(points, line) == pytest.approx(expected)
    assert length(line) == pytest.approx(shape.length)
    halfway = shape.interpolate_normalized(0.5)
    assert along(line, np.array([shape.length / 2]))[0] == pytest.approx(halfway.coords)


def test_inside_is_what_geos_says() -> None:
    rng = np.random.default_rng(5)
    turn = np.sort(rng.uniform(0, 2 * np.pi, 40))
    ring = np.stack([np.cos(turn), np.sin(turn)], axis=-1) * rng.uniform(3, 10, (40, 1))
    ring = np.vstack([ring, ring[:1]])
    points = rng.uniform(-10, 10, (300, 2))
    shape = Polygon(ring.tolist())
    expected = [shape.contains(Point(*point)) for point in points.tolist()]
    assert inside(points, ring).tolist() == expected


def test_softening_keeps_the_ends_of_a_line_and_closes_a_ring() -> None:
    line = np.random.default_rng(3).uniform(0, 10, (30, 2))
    soft = soften(line, 2.0)
    assert np.array_equal(soft[[0, -1]], line[[0, -1]])
    assert length(soft) < length(line)
    ring = soften(np.vstack([line, line[:1]]), 2.0, closed=True)
    assert np.array_equal(ring[0], ring[-1])
