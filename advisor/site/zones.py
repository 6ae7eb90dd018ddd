"""Time zones by their IANA names."""

from __future__ import annotations

import re
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError, available_timezones

from advisor.site.fields import WrongTextError
from advisor.site.problem import nearest

_RIGHT = "a time zone by its IANA name was expected, such as America/New_York"


def zone_name(text: str) -> str:
    """The name, when a zone is called so; WrongTextError with the nearest one otherwise."""
    if not re.fullmatch(r"[A-Za-z0-9_+-]+(/[A-Za-z0-9_+-]+)*", text) or len(text) > 60:
        raise WrongTextError(_RIGHT)
    # A name without a slash may be a folder, or this machine's own setting, which can change.
    if "/" not in text and text != "UTC":
        raise WrongTextError(_RIGHT, hint=nearest(text, available_timezones()))
    try:
        ZoneInfo(text)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise WrongTextError(_RIGHT, hint=nearest(text, available_timezones())) from None
    return text
