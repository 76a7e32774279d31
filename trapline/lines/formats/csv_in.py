"""A table of sets as comma-separated values (RFC 4180; semicolons and tabs are taken too)."""

from trapline.ground.errors import Problem
from trapline.ground.tables import TableRow, read_table
from trapline.lines.formats.draft import MOST_ROWS, Row, drafted

NEEDED = ("label", "lat", "lon")
# Of the team's: a line by its name, a licence by its number, a device by its mark, a member by
# name, targets by species' codes with spaces or semicolons between them.
NAMED = ("line", "licence", "device", "responsible", "targets")
PLAIN = (
    "placement", "tag", "bait", "loop_diameter_m", "loop_height_m", "anchoring",
    "water_depth_m", "snow_depth_m",
)  # fmt: skip
COLUMNS = (*NEEDED, "placed_at", *NAMED, *PLAIN)
MEASURES = tuple(name for name in PLAIN if name.endswith("_m"))


def read(raw: bytes) -> list[Row]:
    """Every row with its line. Raises Refused when the table as a whole cannot be read."""
    table = read_table(raw, columns=COLUMNS, needed=NEEDED, most=MOST_ROWS)
    return [_row(one, decimal_comma=table.decimal_comma) for one in table.rows]


def _row(one: TableRow, *, decimal_comma: bool) -> Row:
    if one.problem is not None:
        return Row(one.line_no, None, (one.problem,))
    said = dict(one.cells)
    if decimal_comma:
        for name in ("lat", "lon", *MEASURES):
            if name in said:
                said[name] = said[name].replace(",", ".")
    row = drafted(
        one.line_no,
        label=said.pop("label"),
        lat=said.pop("lat"),
        lon=said.pop("lon"),
        at=said.pop("placed_at", ""),
        words={name: text for name, text in said.items() if text},
    )
    wrong = tuple(
        Problem(name, "row_number", {"text": said[name][:40]})
        for name in MEASURES
        if said.get(name) and not _number(said[name])
    )
    return row if not wrong else Row(one.line_no, None, row.problems + wrong)


def _number(text: str) -> bool:
    try:
        return float(text) >= 0
    except ValueError:
        return False
