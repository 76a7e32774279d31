"""The one place that reads the clock. Everything below takes the moment as an argument."""

from datetime import UTC, datetime


def now() -> datetime:
    """This instant, in UTC."""
    return datetime.now(UTC)
