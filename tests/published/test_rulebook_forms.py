"""Forms of public regulations, each written in the rulebook's format and computed.

Worked examples of the FORM, not current law. Each names the text that its form was read in; what is
expected is worked out by hand from the words of the rule.
"""

from datetime import datetime
from zoneinfo import ZoneInfo

import pytest

from tests.published.rulebooks import a_set, binding, book, due, open_at

EAST, CENTRAL, MOUNTAIN = "America/New_York", "America/Chicago", "America/Denver"
FOOT, INCH, POUND_FORCE = 0.3048, 0.0254, 4.4482216152605  # NIST SP 811, appendix B


def test_every_twenty_four_hours() -> None:
    # Rhode Island, R.I. Gen. Laws 20-16-9
    rules = book(
        "- {code: r, authority: state, matter: check, form: within_hours, params: {hours: 24}}"
    )
    assert due(rules, a_set(EAST), "2024-12-10T09:30") == "2024-12-11T09:30"


def test_each_calendar_day_but_under_ice_for_beaver_every_seventy_two_hours() -> None:
    # New Hampshire, RSA 210:13
    rules = book(
        """
- {code: daily, authority: state, matter: check, form: each_day}
- code: ice
  authority: state
  matter: check
  form: within_hours
  params: {hours: 72}
  placements: [under_ice]
  species: [beaver]
  instead_of: [daily]
""",
        species="beaver otter",
    )
    assert due(rules, a_set(EAST), "2024-12-10T00:05") == "2024-12-12T00:00"
    beaver = a_set(EAST, placement="under_ice", targets=("beaver",))
    assert due(rules, beaver, "2024-12-10T09:00") == "2024-12-13T09:00"
    otter = a_set(EAST, placement="under_ice", targets=("otter",))
    assert due(rules, otter, "2024-12-10T09:00") == "2024-12-12T00:00"


def test_a_window_by_the_sun_and_forty_eight_hours_in_water() -> None:
    # South Carolina, Code 50-11-2440: daily from two hours before sunrise to two after sunset;
    # 48 hours for submersion sets. The clock times that serve without a sun are ours.
    rules = book(
        """
- code: daily
  authority: state
  matter: check
  form: each_day
  params:
    between:
      from: {sun: sunrise, offset_min: -120, otherwise: "05:00"}
      to: {sun: sunset, offset_min: 120, otherwise: "20:00"}
- code: water
  authority: state
  matter: check
  form: within_hours
  params: {hours: 48}
  placements: [submersion]
  instead_of: [daily]
"""
    )
    assert due(rules, a_set(EAST), "2024-12-10T09:30") == "2024-12-12T00:00"
    water = a_set(EAST, placement="submersion")
    assert due(rules, water, "2024-12-10T09:30") == "2024-12-12T09:30"


def test_before_midnight_of_the_second_day_east_of_the_river_and_of_the_third_west() -> None:
    # South Dakota, ARSD 41:08:02:03 (2019 text)
    rules = book(
        """
- {code: east, authority: state, matter: check, form: every_days, params: {days: 2}, zones: [E]}
- {code: west, authority: state, matter: check, form: every_days, params: {days: 3}, zones: [W]}
""",
        "E",
        "W",
    )
    visit = "2024-12-10T08:00"
    assert due(rules, a_set(CENTRAL, zones=("E",)), visit) == "2024-12-13T00:00"
    assert due(rules, a_set(CENTRAL, zones=("W",)), visit) == "2024-12-14T00:00"
    # On the line between them both bind, and the stricter is kept.
    assert due(rules, a_set(CENTRAL, zones=("E", "W")), visit) == "2024-12-13T00:00"


def test_every_third_calendar_day_for_body_grips_and_nobody_tends_at_night() -> None:
    # Minnesota, Stat. 97B.931 (2009)
    rules = book(
        """
- {code: daily, authority: state, matter: check, form: each_day}
- code: body-grip
  authority: state
  matter: check
  form: every_days
  params: {days: 3}
  device_classes: [body_gripping]
  instead_of: [daily]
- code: night
  authority: state
  matter: tending
  form: forbidden_hours
  params: {from: "22:00", to: "05:00"}
"""
    )
    # The end of the day lies in hours in which nobody may tend: it is due before they begin.
    assert due(rules, a_set(CENTRAL), "2024-12-10T09:00") == "2024-12-11T22:00"
    body = a_set(CENTRAL, device_class="body_gripping", action="killing")
    assert due(rules, body, "2024-12-10T09:00") == "2024-12-13T22:00"


def test_by_zone_and_device_and_exempt_under_ice() -> None:
    # Maine, 12 MRSA 12255 (PL 2003 c.655)
    rules = book(
        """
- {code: organised, authority: state, matter: check, form: each_day, zones: [O]}
- code: organised-killing
  authority: state
  matter: check
  form: every_days
  params: {days: 3}
  zones: [O]
  actions: [killing]
  instead_of: [organised]
- {code: far, authority: state, matter: check, form: each_day, zones: [U], actions: [holding]}
- code: far-killing
  authority: state
  matter: check
  form: every_days
  params: {days: 5}
  zones: [U]
  actions: [killing]
- code: ice
  authority: state
  matter: check
  form: none
  placements: [under_ice]
  actions: [killing]
  species: [beaver, muskrat]
  instead_of: [organised-killing, organised, far-killing]
""",
        "O",
        "U",
        species="beaver muskrat marten",
    )
    visit = "2024-12-10T09:00"
    held, kills = a_set(EAST, zones=("O",)), a_set(EAST, zones=("O",), action="killing")
    assert due(rules, held, visit) == "2024-12-12T00:00"
    assert due(rules, kills, visit) == "2024-12-14T00:00"
    assert due(rules, a_set(EAST, zones=("U",), action="killing"), visit) == "2024-12-16T00:00"
    ice = {"placement": "under_ice", "action": "killing", "zones": ("U",)}
    assert due(rules, a_set(EAST, targets=("beaver",), **ice), visit) is None
    assert due(rules, a_set(EAST, targets=("marten",), **ice), visit) == "2024-12-16T00:00"


def test_a_signal_stands_in_for_visits() -> None:
    # Virginia, 4VAC15-40-195: status every 24 h, a visit within 24 h of a closure or lost contact
    rules = book(
        """
- code: watched
  authority: state
  matter: check
  form: monitored
  params: {status_hours: 24, visit_hours: 24}
"""
    )
    closed = datetime(2024, 12, 11, 6, 0, tzinfo=ZoneInfo(EAST))
    found = due(rules, a_set(EAST), "2024-12-10T09:00", last_status=closed, closed=closed)
    assert found == "2024-12-12T06:00"


def test_once_in_each_week_from_monday_to_sunday_is_up_to_thirteen_days() -> None:
    # Wyoming, 040-4: week = Monday to Sunday; 72 h for restraining devices
    rules = book(
        """
- {code: hold, authority: state, matter: check, form: within_hours,
   params: {hours: 72}, actions: [holding]}
- {code: kill, authority: state, matter: check, form: each_week,
   params: {first_weekday: 0}, actions: [killing]}
"""
    )
    monday = "2024-12-09T08:00"
    assert due(rules, a_set(MOUNTAIN, action="killing"), monday) == "2024-12-23T00:00"
    assert due(rules, a_set(MOUNTAIN), monday) == "2024-12-12T08:00"


def test_hours_by_the_air_and_nothing_set_in_great_cold_or_heat() -> None:
    # Kindersley, Saskatchewan, town bylaw s.18, live traps
    rules = book(
        """
- code: air
  authority: state
  matter: check
  form: by_temperature
  params:
    rows:
      - {from_c: 6, to_c: 30, hours: 4}
      - {from_c: -9, to_c: 5, hours: 2}
    nothing_below_c: -10
    nothing_above_c: 31
"""
    )
    zone = ZoneInfo("America/Regina")
    at = datetime(2024, 10, 1, 9, 0, tzinfo=zone)
    where = a_set("America/Regina", device_class="cage")
    assert due(rules, where, "2024-10-01T08:00", temperatures=[(at, 12.0)]) == "2024-10-01T12:00"
    assert due(rules, where, "2024-10-01T08:00", temperatures=[(at, 3.0)]) == "2024-10-01T10:00"
    assert due(rules, where, "2024-10-01T08:00", temperatures=[(at, -12.0)]) == "2024-10-01T09:00"


def test_a_wildlife_area_stricter_than_the_state() -> None:
    # New York, 6 NYCRR 6.3(a)(3): 48 h in some units; 6 NYCRR 54.4: 24 h in some wildlife areas
    rules = book(
        """
- {code: unit, authority: state, matter: check, form: within_hours,
   params: {hours: 48}, zones: [6J]}
- {code: perch, authority: area, matter: check, form: within_hours,
   params: {hours: 24}, zones: [PR]}
""",
        "6J",
        "PR",
        authorities="state area",
    )
    visit = "2024-12-10T09:00"
    assert due(rules, a_set(EAST, zones=("6J",)), visit) == "2024-12-12T09:00"
    assert due(rules, a_set(EAST, zones=("6J", "PR")), visit) == "2024-12-11T09:00"


SPLIT = """
- code: early
  authority: state
  matter: season
  form: each_year
  params: {opens_on: "11-01", opens_by: "07:00", closes_on: "11-30"}
  species: [muskrat]
- code: late
  authority: state
  matter: season
  form: each_year
  params: {opens_on: "12-26", opens_by: "07:00", closes_on: "01-12", closes_by: "16:45"}
  species: [muskrat]
"""


@pytest.mark.parametrize(
    ("local", "is_open"),
    [
        ("2024-11-01T06:59", False),
        ("2024-11-01T07:00", True),
        ("2024-11-30T23:59", True),
        ("2024-12-01T00:00", False),
        ("2024-12-26T07:00", True),
        ("2025-01-01T00:00", True),
        ("2025-01-12T16:44", True),
        ("2025-01-12T16:45", False),
    ],
)
def test_a_season_that_opens_at_seven_and_closes_in_the_afternoon_in_two_parts(
    local: str, is_open: bool
) -> None:
    # Pennsylvania, 58 Pa. Code 141.61: no sets before 07:00 of the opening day; removed by sunset
    # of the last. The days are ours; sunset is written as that day's clock time.
    rules = book(SPLIT, species="muskrat")
    assert open_at(rules, a_set(EAST, targets=("muskrat",)), local) is is_open


@pytest.mark.parametrize(
    ("local", "is_open"),
    [("2024-06-30T23:59", True), ("2024-07-01T00:00", True), ("2025-06-30T23:59", True)],
)
def test_a_trapping_year_runs_from_july_to_june(local: str, is_open: bool) -> None:
    # British Columbia, Reg. 338/82 s.3.16.1: trapping year 1 July to 30 June; report by 31 July
    rules = book(
        """
- code: year
  authority: state
  matter: season
  form: each_year
  params: {opens_on: "07-01", closes_on: "06-30"}
- {code: nil, authority: state, matter: report, form: by_date, params: {of: harvest, on: "07-31"}}
"""
    )
    assert open_at(rules, a_set("America/Vancouver"), local) is is_open
    assert binding(rules, a_set("America/Vancouver"), "report") == [
        {"of": "harvest", "on": "07-31"}
    ]


def test_a_season_is_open_only_where_every_authority_opens_it() -> None:
    # The form of AK 5 AAC 92.095: a unit's own months inside the state's; the days are ours.
    rules = book(
        """
- {code: s, authority: state, matter: season, form: each_year,
   params: {opens_on: "11-01", closes_on: "03-31"}}
- {code: a, authority: area, matter: season, form: each_year,
   params: {opens_on: "12-01", closes_on: "02-28"}, zones: [A]}
""",
        "A",
        authorities="state area",
    )
    inside, outside = a_set("America/Anchorage", zones=("A",)), a_set("America/Anchorage")
    assert open_at(rules, outside, "2024-11-15T12:00")
    assert not open_at(rules, inside, "2024-11-15T12:00")
    assert open_at(rules, inside, "2024-12-15T12:00")


def test_the_farthest_setback_of_several_authorities_binds() -> None:
    # Oregon, OAR 635-050-0047: 50 ft from a trail; Idaho rule: 10 ft. A team's 100 ft is ours.
    rules = book(
        f"""
- {{code: or, authority: state, matter: setback, form: from_feature,
   params: {{feature: trail, at_least_m: {50 * FOOT}}}}}
- {{code: id, authority: area, matter: setback, form: from_feature,
   params: {{feature: trail, at_least_m: {10 * FOOT}}}}}
- {{code: own, authority: team, matter: setback, form: from_feature, species: [marten],
   params: {{feature: trail, at_least_m: {100 * FOOT}}}}}
""",
        authorities="state area team",
        species="marten",
    )
    assert binding(rules, a_set(EAST), "setback") == [
        {"feature": "trail", "at_least_m": pytest.approx(15.24)}
    ]
    assert binding(rules, a_set(EAST, targets=("marten",)), "setback") == [
        {"feature": "trail", "at_least_m": pytest.approx(30.48)}
    ]


def test_a_larger_jaw_spread_under_water_stands_instead_of_the_one_on_land() -> None:
    # New York, 6 NYCRR: 5 3/4 in, and 7 1/4 in submerged in beaver and otter season
    rules = book(
        f"""
- {{code: land, authority: state, matter: device, form: jaw_spread,
   params: {{at_most_m: {5.75 * INCH}}},
   device_classes: [foothold_coil, foothold_long]}}
- {{code: water, authority: state, matter: device, form: jaw_spread,
   params: {{at_most_m: {7.25 * INCH}}},
   device_classes: [foothold_coil, foothold_long], placements: [submersion],
   from_day: "11-01", until_day: "04-07", instead_of: [land]}}
"""
    )
    assert binding(rules, a_set(EAST), "device") == [{"at_most_m": pytest.approx(0.14605)}]
    water = a_set(EAST, placement="submersion")
    assert binding(rules, water, "device") == [{"at_most_m": pytest.approx(0.18415)}]
    assert binding(rules, a_set(EAST, device_class="cage"), "device") == []


def test_of_two_snare_rules_the_smaller_loop_and_the_weaker_breakaway_bind() -> None:
    # Utah, R657-11-9(2): breakaway at most 300 lb; Ohio guide: loop at most 15 in, breakaway 350 lb
    rules = book(
        f"""
- {{code: ut, authority: state, matter: part, form: strength,
   params: {{role: breakaway, at_most_n: {300 * POUND_FORCE}}}}}
- {{code: oh, authority: area, matter: part, form: strength,
   params: {{role: breakaway, at_most_n: {350 * POUND_FORCE}}}}}
- {{code: loop, authority: area, matter: loop, form: diameter, params: {{to_m: {15 * INCH}}}}}
- {{code: mn, authority: state, matter: loop, form: diameter,
   params: {{from_m: {10 * INCH}, to_m: {18 * INCH}}}}}
""",
        authorities="state area",
    )
    snare = a_set(EAST, device_class="snare")
    (breakaway,) = binding(rules, snare, "part")
    assert breakaway == {"role": "breakaway", "at_most_n": pytest.approx(1334.47, abs=0.01)}
    # Minnesota, R. 6234.0900 subp. 6 (wolf): over 10 and at most 18 in. Each binds in one bound.
    assert [one.get("to_m") for one in binding(rules, snare, "loop")] == [
        pytest.approx(0.381), pytest.approx(0.4572),
    ]  # fmt: skip


def test_what_is_reported_and_sealed_and_by_when() -> None:
    # South Dakota 41:08:02:12: non-target dead within 12 h; Montana 2021: within 24 h;
    # Alabama 220-2-.30(3): bobcat and otter tagged within 14 days; Montana: 10 days after the close
    rules = book(
        """
- {code: sd, authority: state, matter: report, form: within_hours,
   params: {of: non_target, hours: 12}}
- {code: mt, authority: area, matter: report, form: within_hours,
   params: {of: non_target, hours: 24}}
- {code: al, authority: state, matter: seal, form: of_catch,
   params: {what: tag, days: 14}, species: [otter]}
- {code: close, authority: area, matter: seal, form: of_close,
   params: {what: seal, days: 10}, species: [otter]}
""",
        authorities="state area",
        species="otter mink",
    )
    otter, mink = a_set(CENTRAL, targets=("otter",)), a_set(CENTRAL, targets=("mink",))
    assert binding(rules, otter, "report") == [{"of": "non_target", "hours": 12}]
    assert binding(rules, otter, "seal") == [
        {"what": "tag", "days": 14}, {"what": "seal", "days": 10},
    ]  # fmt: skip
    assert binding(rules, mink, "seal") == []
