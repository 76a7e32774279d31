"""Animals as Darwin Core occurrences (a TDWG standard), with places coarsened as the team says."""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, floor, radians
from uuid import UUID

from trapline.ground import sql
from trapline.ground.tables import csv_text
from trapline.journal.team_settings import put_setting, setting
from trapline.reports.period import Period

# Degrees of a cell's side; 0 withholds the place.
CELL = "occurrence-cell-deg"
CELLS = (0.01, 0.1, 1.0, 0.0)
DEFAULT_CELL_DEG = 0.1
COLUMNS = (
    "occurrenceID", "basisOfRecord", "scientificName", "vernacularName", "eventDate", "sex",
    "lifeStage", "individualCount", "samplingProtocol", "decimalLatitude", "decimalLongitude",
    "geodeticDatum", "coordinateUncertaintyInMeters", "dataGeneralizations",
    "informationWithheld",
)  # fmt: skip
_METRES_PER_DEGREE = 111_320


def cell_of(team: UUID) -> float:
    """The side of the cells that places are coarsened to, in degrees; 0 withholds."""
    return float(setting(team, CELL, DEFAULT_CELL_DEG))


def put_cell(team: UUID, cell: float) -> None:
    """Keep how far the team's places are coarsened, one of CELLS."""
    if cell not in CELLS:
        raise ValueError("cell: not a size to choose")
    put_setting(team, CELL, cell)


def coarse(lat: float, lon: float, cell: float) -> tuple[float, float, int]:
    """The middle of the cell, and how far the place may lie from it, in metres, rounded up."""
    # Rounded, so that 61.9 lies in the cell that begins there: 61.9 / 0.1 is a hair short of 619.
    middle = [(floor(round(value / cell, 9)) + 0.5) * cell for value in (lat, lon)]
    # The cell is widest where it lies nearest to the equator.
    nearest = max(abs(middle[0]) - cell / 2, 0.0)
    wide = cell / 2 * _METRES_PER_DEGREE
    far = (wide**2 + (wide * cos(radians(nearest))) ** 2) ** 0.5
    return round(middle[0], 5), round(middle[1], 5), int(-(-far // 1))


def occurrences_csv(team: UUID, period: Period) -> Iterator[str]:
    """One row an animal, held or let go, in effect. Two statements."""
    cell = cell_of(team)
    values = {"team": team, "first": period.first, "last": period.last}
    rows = (_row(row, cell) for row in sql.rows("trapline.reports", "occurrences", values))
    return csv_text(COLUMNS, rows)


def _row(row: tuple[object, ...], cell: float) -> list[object]:
    animal, latin, name, day, sex, age, device, lat, lon = row
    place: list[object] = [None, None, None, None, "", "place withheld at the team's request"]
    if cell and isinstance(lat, float) and isinstance(lon, float):
        at_lat, at_lon, far = coarse(lat, lon, cell)
        place = [
            at_lat, at_lon, "EPSG:4326", far,
            f"place generalised to the middle of a cell of {cell:g} degrees", "",
        ]  # fmt: skip
    return [
        f"urn:uuid:{animal}", "HumanObservation", latin or name, name, f"{day}",
        "" if sex == "unknown" else sex, "" if age == "unknown" else age, 1, device, *place,
    ]  # fmt: skip
