"""The one place that reads the clock. Everything below takes the moment as an argument."""

from datetime import UTC, datetime


def now() -> datetime:
    """This instant, in UTC."""
    return machine()


def machine() -> datetime:
    """The machine's clock. Tests set it here, since modules take `now` by its name."""
    return datetime.now(UTC)
