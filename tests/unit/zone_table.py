"""Zones whose clocks change in every way that there is, and when they do (by the tz database)."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from functools import cache
from zoneinfo import ZoneInfo

MINUTE, DAY = timedelta(minutes=1), timedelta(days=1)
FIRST, YEARS = 2026, 5

ZONES = {  # each with an hour that its clocks leave out in spring, if they do
    "Africa/Cairo": "00:30",  # on a Friday
    "Africa/Casablanca": "02:30",  # back for Ramadan, and forward again
    "America/Havana": "00:00",
    "America/Los_Angeles": "02:00",
    "America/New_York": "02:30",
    "America/Nuuk": "23:30",  # up to midnight, on a Saturday
    "America/Phoenix": "00:00",  # stands still
    "America/Santiago": "00:00",
    "America/St_Johns": "02:59",  # half an hour off
    "Antarctica/Troll": "01:30",  # a gap of two hours
    "Asia/Beirut": "00:00",
    "Asia/Gaza": "02:30",
    "Asia/Jerusalem": "02:00",
    "Asia/Kathmandu": "00:00",  # stands still, a quarter off
    "Asia/Kolkata": "23:30",  # stands still, half an hour off
    "Atlantic/Azores": "00:30",
    "Australia/Adelaide": "02:30",  # half an hour off
    "Australia/Lord_Howe": "02:15",  # a gap of half an hour
    "Europe/Berlin": "02:30",
    "Europe/Chisinau": "02:00",
    "Europe/London": "01:30",
    "Pacific/Auckland": "02:30",
    "Pacific/Chatham": "03:00",  # three quarters off
    "Pacific/Easter": "22:30",  # on a Saturday
    "Pacific/Norfolk": "02:59",
}


@cache
def changes(zone: ZoneInfo) -> tuple[datetime, ...]:
    """The first minutes (UTC) of the five years with another offset than the minute before."""
    found = []
    at = datetime(FIRST, 1, 1, tzinfo=UTC)
    while at.year < FIRST + YEARS:
        if (at + DAY).astimezone(zone).utcoffset() != at.astimezone(zone).utcoffset():
            low, high = 0, 24 * 60
            while high - low > 1:
                middle = (low + high) // 2
                same = (at + middle * MINUTE).astimezone(zone).utcoffset()
                low, high = (
                    (middle, high) if same == at.astimezone(zone).utcoffset() else (low, middle)
                )
            found.append(at + high * MINUTE)
        at += DAY
    return tuple(found)
