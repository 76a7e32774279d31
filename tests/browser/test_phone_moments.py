"""The phone's moments against the browser's own calendar and tz database (ECMA-402, Intl)."""

from datetime import UTC, datetime
from typing import Any

import pytest
from playwright.sync_api import Browser

from trapline.wording.zones import clock_of

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# Changes of an hour and of half an hour, none, south of the equator, a quarter of an hour from UTC.
ZONES = (
    "America/Denver", "America/St_Johns", "America/Phoenix", "Europe/Oslo", "Asia/Kathmandu",
    "Australia/Lord_Howe", "Pacific/Chatham",
)  # fmt: skip
OURS_AND_THEIRS = """async ([clocks, from, until]) => {
  const { moment, setClocks } = await import("/static/phone/say.js");
  const forms = (tz) => new Intl.DateTimeFormat("en-US", { timeZone: tz, weekday: "short",
    day: "numeric", month: "short", year: "numeric", hour: "2-digit", minute: "2-digit",
    hourCycle: "h23" });
  const wrong = [];
  let looked = 0;
  for (const [tz, { steps }] of Object.entries(clocks)) {
    const form = forms(tz);
    const told = (ms) => Object.fromEntries(
      form.formatToParts(ms).map(({ type, value }) => [type, value]));
    const thisYear = told(Date.now()).year;
    const at = steps.flatMap(([step]) => [step - 1, step]).filter((ms) => ms >= from && ms < until);
    for (let ms = from; ms < until; ms += 53 * 3600_000 + 7 * 60_000) at.push(ms);
    for (const known of [clocks, {}]) {
      setClocks(known);
      for (const ms of known === clocks ? at : at.slice(0, 40)) {
        const { weekday, day, month, year, hour, minute } = told(ms);
        const of = year === thisYear ? "" : ` ${year}`;
        const theirs = `${weekday} ${day} ${month}${of} ${hour}:${minute} `;
        looked += 1;
        if (!moment(ms, tz).startsWith(theirs)) wrong.push([tz, ms, moment(ms, tz), theirs]);
      }
    }
  }
  setClocks(clocks);
  const names = Object.fromEntries(
    Object.keys(clocks).map((tz) => [tz, moment(from, tz).split(" ").at(-1)]));
  return { wrong: wrong.slice(0, 5), looked, names, own: moment(from).split(" ").slice(-2) };
}"""


def test_a_moment_is_written_as_the_clock_of_its_zone_shows_it(
    chromium: Browser, live_server: Any
) -> None:
    """Of two years gone by, whose laws both databases know. Names are the tz database's."""
    start, end = (datetime(year, 1, 9, 12, 5, tzinfo=UTC) for year in (2024, 2026))
    clocks = {tz: clock_of(tz, datetime(2025, 6, 1, tzinfo=UTC)) for tz in ZONES}
    context = chromium.new_context(timezone_id="Asia/Kathmandu")
    page = context.new_page()
    page.goto(f"{live_server.url}/phone/")
    said = page.evaluate(
        OURS_AND_THEIRS, [clocks, *(1000 * int(one.timestamp()) for one in (start, end))]
    )
    context.close()
    assert said["wrong"] == []
    assert said["looked"] > 300 * len(ZONES)
    assert said["names"]["America/Denver"] == "MST"
    assert said["names"]["Asia/Kathmandu"] == "UTC+0545"
    assert said["own"] == ["17:50", "UTC+0545"]
