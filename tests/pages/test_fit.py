"""The device-fit table as a page: where each row is from, and the team's own in its place."""

import pytest
from django.test import Client

from tests.pages.reading import filled, words
from tests.world import World

pytestmark = pytest.mark.django_db
PAGE = "/t/north/findings/fit/"


def test_a_row_is_said_anew_with_what_it_said_before_and_shows_as_the_teams(
    world: World, instructor: Client, student: Client
) -> None:
    assert "Nobody’s law" in words(student.get(PAGE)) and "change" not in words(student.get(PAGE))
    before = words(instructor.get(PAGE))
    assert "Marten change Marten Holds it 11.4 cm Published" in before
    assert "Red fox" in before and "red_fox" not in before
    assert "7x7 · carbon steel 3/32 in" in before and "From memory" in before
    asked = f"{PAGE}row/?device_class=body_gripping&species=marten&what=holds"
    sent = filled(instructor.get(asked), "species", to_m="12.5", source="What we have seen")
    assert (sent["species"], sent["from_m"]) == (["marten"], ["11.43"])
    assert instructor.post(f"{PAGE}row/", sent).status_code == 302
    assert "Holds it 11.4 cm – 12.5 cm The team’s own What we have seen" in words(
        instructor.get(PAGE)
    )
