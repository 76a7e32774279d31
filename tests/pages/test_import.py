"""Sets from a file through the pages: a dry run row by row, then the good rows placed, or nothing.

The files are of the standards' shapes: GPX 1.1 waypoints as gpxpy writes them, a table as RFC 4180
has it. What they say is invented.
"""

from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from tests.api.test_imports import waypoints
from tests.pages.reading import filled, words
from tests.world import START, World
from trapline.ground.scope import team_scope
from trapline.journal.models import Act
from trapline.lines.formats import csv_in
from trapline.lines.models import Set
from trapline.pages.import_drawing import HEIGHT, WIDTH, Spot, drawn
from trapline.standing.models import SetState

pytestmark = pytest.mark.django_db

TABLE = """label,lat,lon,device
C-01,61.9001,-128.4001,K-1
C-02,61.9002,-128.4002,K-9
C-03,95,-128.4003,K-2
C-04,61.9004,-128.4004,K-2
"""


def page_of(world: World) -> str:
    return f"/t/north/lines/{world.line}/import/"


def ask(client: Client, world: World, name: str, raw: bytes, **typed: Any) -> Any:
    """Send the form with a file, as a browser would, with what a person chose in it."""
    chosen = {
        "licence": str(world.licence), "placement": "land", "responsible": str(world.student.member)
    }  # fmt: skip
    sent = filled(client.get(page_of(world)), "device_kind", **(chosen | typed))
    return client.post(page_of(world), sent | {"file": SimpleUploadedFile(name, raw)})


def labels(world: World) -> list[str]:
    with team_scope(world.team):
        return list(Set.objects.order_by("label").values_list("label", flat=True))


def test_a_dry_run_shows_each_row_with_its_reason_and_writes_nothing(
    world: World, instructor: Client
) -> None:
    world.device("snare", "K-1")
    world.device("snare", "K-2")
    answer = ask(instructor, world, "sets.csv", TABLE.encode())
    assert answer.status_code == 200, words(answer)
    told = words(answer)
    assert "2 of 4 rows can be placed" in told
    assert "2 C-01 is placed" in told
    assert "61.90010, -128.40010 K-1 Land Signe" in told
    assert "3 C-02 refused device: The team has nothing called “K-9” here." in told
    assert "4 – refused lat: “95” is not between −90 and 90 degrees." in told
    assert labels(world) == []
    with team_scope(world.team):
        assert not Act.objects.filter(kind="place_set").exists()


def test_the_good_rows_are_placed_once_however_often_the_button_is_pressed(
    world: World, instructor: Client
) -> None:
    world.device("snare", "K-1")
    world.device("snare", "K-2")
    sent = filled(ask(instructor, world, "sets.csv", TABLE.encode()), "acts")
    for _again in range(2):
        answer = instructor.post(page_of(world) + "place/", sent)
        assert answer.status_code == 302, words(answer)
    assert labels(world) == ["C-01", "C-04"]
    assert "2 sets are placed." in words(instructor.get(answer["Location"]))
    with team_scope(world.team):
        placed = SetState.objects.select_related("device").order_by("device__mark")
        assert [(one.device.mark, one.responsible_id, one.line_id) for one in placed] == [
            ("K-1", world.student.member, world.line), ("K-2", world.student.member, world.line),
        ]  # fmt: skip


def test_waypoints_get_the_free_devices_of_the_kind_that_was_chosen(
    world: World, instructor: Client
) -> None:
    for mark in ("K-1", "K-2"):
        world.device("snare", mark)
    raw = waypoints("C-01", "C-02", "C-03")
    answer = ask(instructor, world, "sets.gpx", raw, device_kind=str(world.kinds["snare"]))
    told = words(answer)
    assert "K-1 Land Signe" in told
    assert "K-2 Land Signe" in told
    assert "No free device of this kind is left." in told
    instructor.post(page_of(world) + "place/", filled(answer, "acts"))
    assert labels(world) == ["C-01", "C-02"]
    with team_scope(world.team):
        assert set(SetState.objects.values_list("placed_at", flat=True)) == {START}


def test_what_was_chosen_stands_after_the_dry_run_and_the_file_can_be_mended_there(
    world: World, instructor: Client
) -> None:
    world.device("snare", "K-1")
    world.device("snare", "K-2")
    marten = str(world.species["marten"])
    first = ask(instructor, world, "s.csv", TABLE.encode(), at="2026-01-05T10:00", targets=[marten])
    kept = filled(first, "file")
    del kept["file"]
    assert kept["text"][0].splitlines() == TABLE.splitlines()
    assert (kept["at"], kept["targets"]) == (["2026-01-05T10:00"], [marten])
    assert (kept["placement"], kept["licence"]) == (["land"], [str(world.licence)])
    mended = kept | {"text": TABLE.replace("K-9", "").replace("95", "61.9003")}
    again = instructor.post(page_of(world), mended | {"device_kind": str(world.kinds["snare"])})
    assert "3 C-02 refused device: No free device" in words(again)
    assert "4 C-03 is placed" in words(again)


def test_a_row_that_was_overtaken_since_the_dry_run_is_told_and_the_rest_is_placed(
    world: World, instructor: Client
) -> None:
    world.device("snare", "K-1")
    world.device("snare", "K-2")
    sent = filled(ask(instructor, world, "sets.csv", TABLE.encode()), "acts")
    world.set("C-04")
    answer = instructor.post(page_of(world) + "place/", sent)
    assert answer.status_code == 422
    assert "1 set is placed." in words(answer)
    assert "C-04 : This line already has a set C-04." in words(answer)
    kept = filled(answer, "file")
    assert kept["text"][0].splitlines() == TABLE.splitlines()
    assert labels(world) == ["C-01", "C-04"]


@pytest.mark.parametrize(
    ("name", "raw", "sentence"),
    [
        ("s.csv", b'label,lat,lon\nA,61.9,-128.4\n"B,61.9,-128.4\n', "Line 3: The table is brok"),
        ("s.csv", b"label,lat,height\nA,61.9,-128.4\n", "Line 1: No column is called height."),
        ("s.csv", b"label,lat,lon\nA,61.9,-128.4\n\xff,1,1\n", "Line 3: This is not UTF-8 text."),
        ("s.gpx", waypoints("A")[:-9], "Line"),
        ("s.gpx", b"<kml>\n</kml>", "Line 1: This is no GPX file"),
        ("s.kml", b"<kml/>", "A GPX or a CSV file is needed"),
        ("s.csv", b"x" * (2 * 1024 * 1024 + 9), "at most 2097152 are taken"),
        ("s.csv", b"label,lat,lon\n" + b"A,1,1\n" * 501, "Line 502: At most 500 rows"),
        ("s.csv", b"", "The submitted file is empty."),
    ],
    ids=["quote", "column", "utf8", "cut", "other-xml", "other-name", "large", "many", "empty"],
)
def test_a_file_that_cannot_be_taken_is_refused_whole_and_the_choices_stay(
    world: World, instructor: Client, name: str, raw: bytes, sentence: str
) -> None:
    answer = ask(instructor, world, name, raw)
    assert answer.status_code == 422
    assert sentence in words(answer)
    kept = filled(answer, "file")
    assert (kept["placement"], kept["licence"]) == (["land"], [str(world.licence)])
    assert b'name="acts"' not in answer.content
    assert labels(world) == []


def test_nothing_sent_asks_for_a_file(world: World, instructor: Client) -> None:
    answer = instructor.post(page_of(world), {})
    assert answer.status_code == 422
    assert "Choose a file, or paste its text." in words(answer)


@pytest.mark.parametrize("acts", ["", "[]", '{"acts": [{"act": "x"}]}', "{"])
def test_acts_that_cannot_be_read_are_refused_and_nothing_is_placed(
    world: World, instructor: Client, acts: str
) -> None:
    answer = instructor.post(page_of(world) + "place/", {"acts": acts, "text": TABLE})
    assert answer.status_code == 422
    assert filled(answer, "file")["text"][0].splitlines() == TABLE.splitlines()
    assert labels(world) == []


def test_the_example_has_every_column_and_can_be_read_in(world: World, instructor: Client) -> None:
    answer = instructor.get("/t/north/lines/import/example.csv")
    rows = csv_in.read(answer.content)
    assert answer.content.decode().splitlines()[0].split(",") == list(csv_in.COLUMNS)
    assert [row.problems for row in rows] == [(), ()]
    page = words(instructor.get(page_of(world)))
    assert all(column in page for column in csv_in.COLUMNS)


def test_a_rows_place_is_drawn_north_up_and_nothing_falls_off_the_sheet() -> None:
    spots = [Spot(2, -128.40, 61.90, True), Spot(3, -128.30, 61.95, False)]
    drawing = drawn(spots, [(-128.5, 61.85), (-128.2, 61.99)])
    assert drawing is not None
    places = [
        tuple(float(part) for part in text.split(")")[0].split())
        for text in drawing.inside.split("translate(")[1:]
    ]
    (x, y), (east, north) = places
    assert east > x
    assert north < y
    assert all(0 <= one[0] <= WIDTH and 0 <= one[1] <= HEIGHT for one in places)
    assert drawing.inside.count("spot-refused") == 1


def test_rows_on_both_sides_of_the_antimeridian_are_drawn_beside_each_other() -> None:
    drawing = drawn([Spot(2, 179.99, 61.9, True), Spot(3, -179.99, 61.9, True)], [])
    assert drawing is not None
    # 0.02 degrees of longitude at 61.9 degrees north: 1.05 km, and the sheet is not much wider.
    assert 1000 < drawing.across_m < 1300
