"""The demo's rulebook: sound, invented by its own word, and made for the demo's zones."""

from datetime import UTC, datetime
from importlib.resources import files

import pytest

from tests.rulebook.conftest import Office
from tests.rulebook.documents import NEXT_SQUARE, SQUARE
from trapline.demo.rules import demo_rulebook
from trapline.demo.terrain.names import ZONES
from trapline.rulebook.models import Rule, Species
from trapline.rulebook.schema import Document

FROM = datetime(2025, 9, 1, tzinfo=UTC)


@pytest.fixture
def document() -> Document:
    return demo_rulebook({"QB-N": SQUARE, "QB-S": NEXT_SQUARE}, FROM)


def test_its_zones_are_those_of_the_terrain(document: Document) -> None:
    assert [(zone.code, zone.name) for zone in document.zones] == list(ZONES)


def test_a_zone_without_an_outline_is_told_at_once() -> None:
    with pytest.raises(KeyError):
        demo_rulebook({"QB-N": SQUARE}, FROM)


def test_it_says_everywhere_that_it_is_invented(document: Document) -> None:
    assert "invented" in document.title
    assert "nobody's law" in document.note
    assert all("nvented" in authority.name for authority in document.authorities)
    assert all("nvented" in rule.source for rule in document.rules)
    text = files("trapline.demo").joinpath("rulebook.yaml").read_text()
    assert "INVENTED" in text.splitlines()[0]


def test_it_shows_many_forms_and_every_species_has_a_card(document: Document) -> None:
    forms = {rule.form for rule in document.rules if rule.matter == "check"}
    assert forms >= {
        "within_hours",
        "each_day",
        "every_days",
        "each_week",
        "by_temperature",
        "none",
    }
    assert len(document.species) >= 10
    assert all(one.card for one in document.species)
    assert {one.handling for one in document.species} >= {"keep", "release", "leave_and_call"}


def test_the_team_alone_binds_a_killing_device_under_ice(document: Document) -> None:
    exempt = next(rule for rule in document.rules if rule.form == "none")
    assert exempt.placements == ("under_ice",)
    everywhere = next(rule for rule in document.rules if rule.code == "team-48h-everywhere")
    assert not (everywhere.placements or everywhere.zones or everywhere.device_classes)


def test_it_can_be_taken_in(document: Document, office: Office) -> None:
    version = office.take(document)
    assert Rule.objects.filter(version=version).count() == len(document.rules)
    assert Species.objects.count() == len(document.species)
