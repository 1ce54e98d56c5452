"""The shop's day of a moment that the log holds in the world's time."""

from datetime import UTC, date, datetime, tzinfo
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError


def zone_of(name: str | None) -> tzinfo:
    """A time zone by its IANA name; the world's clock where that isn't known."""
    try:
        return ZoneInfo(name) if name else UTC
    except (ZoneInfoNotFoundError, ValueError):
        return UTC


def day_in(at: str, zone: tzinfo) -> date:
    """The day on which that moment was, there."""
    return datetime.fromisoformat(at).astimezone(zone).date()
