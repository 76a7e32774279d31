"""Tables of sets, as spreadsheets write them (RFC 4180)."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trapline.ground.errors import Refused
from trapline.lines.formats import csv_in, gpx_in
from trapline.lines.formats.draft import Draft


def test_a_table_is_read_with_the_line_of_each_row() -> None:
    raw = (
        b"\xef\xbb\xbflabel,lat,lon,device,bait\r\n"
        b'C-01,61.9,-128.4,K-7,"fish, old"\r\n'
        b"\r\n"
        b'"C-\r\n02",61.91,-128.41,,\r\n'
        b"C-03,61.92,-128.42,K-9,\r\n"
    )
    rows = csv_in.read(raw)
    assert [row.line_no for row in rows] == [2, 4, 6]
    assert [row.draft for row in rows] == [
        Draft("C-01", -128.4, 61.9, None, {"device": "K-7", "bait": "fish, old"}),
        Draft("C- 02", -128.41, 61.91),
        Draft("C-03", -128.42, 61.92, None, {"device": "K-9"}),
    ]


@pytest.mark.parametrize("delimiter", [";", "\t"])
def test_semicolons_and_tabs_part_cells_and_then_a_comma_is_decimal(delimiter: str) -> None:
    lines = ["label,lat,lon,loop_height_m", "A,61x9,-128x4,0x25"]
    raw = "\n".join(lines).replace(",", delimiter).replace("x", ",")
    (row,) = csv_in.read(raw.encode())
    assert row.draft == Draft("A", -128.4, 61.9, None, {"loop_height_m": "0.25"})


def test_each_wrong_row_says_what_is_wrong_and_the_others_are_read() -> None:
    raw = (
        "label,lat,lon,placed_at,loop_height_m\n"
        "A,1,2,,\n"
        "B,91,x,yesterday,high\n"
        "C,1,2\n"
        ",1,2,2026-01-05T09:12:00-07:00,0.3\n"
    )
    rows = csv_in.read(raw.encode())
    assert [[(one.field, one.code) for one in row.problems] for row in rows] == [
        [],
        [
            ("lat", "row_degrees"),
            ("lon", "row_degrees"),
            ("at", "row_time"),
            ("loop_height_m", "row_number"),
        ],
        [("row", "csv_cells")],
        [("label", "row_no_label")],
    ]


@pytest.mark.parametrize(
    ("raw", "code", "line"),
    [
        (b"label,lat\nA,1\n", "csv_no_column", 1),
        (b"label,lat,lon,colour\nA,1,2,red\n", "csv_unknown_column", 1),
        (b"label,lat,lon,lat\nA,1,2,1\n", "csv_column_twice", 1),
        (b'label,lat,lon\nA,1,2\n"B,1,2\n', "csv_broken", 3),
        (b'label,lat,lon\nA,"1"x,2\n', "csv_broken", 2),
        (b"label,lat,lon\nA\xff,1,2\n", "file_not_text", 2),
        ("label,lat,lon\nA,1,2\n".encode("utf-16"), "file_not_text", 1),
        (b"label,lat,lon\n", "csv_no_rows", None),
        (b"", "file_empty", None),
        (b"label,lat,lon\n" + b"A,1,2\n" * 501, "file_too_many_rows", 502),
        (b"<gpx/>", "csv_unknown_column", 1),
    ],
)
def test_a_table_that_cannot_be_read_is_refused_whole_with_its_line(
    raw: bytes, code: str, line: int | None
) -> None:
    with pytest.raises(Refused) as error:
        csv_in.read(raw)
    (problem,) = error.value.problems
    assert (problem.code, problem.values.get("line")) == (code, line)


PLAIN = st.text(
    st.characters(exclude_categories=["Cs", "Cc", "Zs", "Zl", "Zp"]), min_size=1, max_size=60
)


@given(label=PLAIN, bait=PLAIN, lat=st.floats(-90, 90), lon=st.floats(-180, 180))
def test_whatever_pythons_own_writer_writes_is_read_back(
    label: str, bait: str, lat: float, lon: float
) -> None:
    """The csv module is the independent writer here."""
    out = io.StringIO()
    csv.writer(out).writerows([["label", "lat", "lon", "bait"], [label, lat, lon, bait]])
    (row,) = csv_in.read(out.getvalue().encode())
    assert row.draft == Draft(label, lon, lat, None, {"bait": bait})


@given(raw=st.binary(max_size=200))
def test_no_bytes_whatever_break_a_reader(raw: bytes) -> None:
    for read in (csv_in.read, gpx_in.read):
        try:
            rows = read(raw)
        except Refused as error:
            assert error.problems
        else:
            assert rows
