"""One tz database: the pinned package's, whatever the machine has."""

import zoneinfo


def test_zones_are_read_from_the_pinned_package_on_every_machine() -> None:
    assert zoneinfo.TZPATH == ()
    assert zoneinfo.ZoneInfo("Europe/Oslo").key == "Europe/Oslo"
