"""An answer whose status is not 200: which of the three errors it is, and when to ask again."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from email.utils import parsedate_to_datetime
from typing import NoReturn

from advisor.language.words import tell
from advisor.weather.errors import BadAnswer, Misconfigured, Unreachable, quoted

_LONGEST_WAIT = timedelta(hours=1)


def refuse(
    body: bytes, status: int, *, now: datetime, secret: str | None = None, retry_after: str = ""
) -> NoReturn:
    """Raise what this status means. `retry_after` is the header's text, `now` an instant."""
    reason = _reason(body)
    said = f": “{quoted(reason, secret).rstrip('.')}”" if reason else ""
    if status == 429:
        raise Unreachable(
            tell(
                "The weather service asks for a pause{said}. Others behind the same internet"
                " address may have used up the allowance.",
                said=said,
            ),
            _after_limit(reason, now) or _after_header(retry_after, now) or now + _LONGEST_WAIT,
        )
    if status in (401, 403):
        raise Misconfigured(
            tell(
                "The weather service refuses the key or the plan behind it (status"
                " {status}){said}.",
                status=status,
                said=said,
            )
        )
    if status in (404, 405, 410):
        raise Misconfigured(
            tell(
                "There is no weather service at this address (status {status}){said}. Look at the"
                " address in the settings.",
                status=status,
                said=said,
            )
        )
    if 400 <= status < 500 and status not in (408, 425):
        raise Misconfigured(
            tell(
                "The weather service does not accept the request (status {status}){said}.",
                status=status,
                said=said,
            )
        )
    if status >= 400:
        raise Unreachable(
            tell(
                "The weather service is having trouble (status {status}){said}.",
                status=status,
                said=said,
            ),
            _after_header(retry_after, now) if status == 503 else None,
        )
    if 300 <= status < 400:
        raise BadAnswer(
            tell(
                "The weather service points elsewhere without saying where (status {status}).",
                status=status,
            )
        )
    raise BadAnswer(
        tell("The weather service answered with status {status}, and no weather.", status=status)
    )


def _reason(body: bytes) -> str:
    """The service's own words, or nothing: a proxy's HTML page is no reason."""
    try:
        said = json.loads(body)
    except (ValueError, RecursionError):
        return ""
    reason = said.get("reason") if isinstance(said, dict) else None
    return reason if isinstance(reason, str) else ""


def _after_limit(reason: str, now: datetime) -> datetime | None:
    """When the counter that this wording speaks of starts again (the counters run in UTC)."""
    words = reason.lower()
    now = now.astimezone(UTC)
    if "concurrent" in words:
        return now + timedelta(minutes=1)
    if "minute" in words:
        return now.replace(second=10, microsecond=0) + timedelta(minutes=1)
    if "hour" in words:
        return now.replace(minute=1, second=0, microsecond=0) + timedelta(hours=1)
    if "daily" in words or "tomorrow" in words:
        return now.replace(hour=0, minute=1, second=0, microsecond=0) + timedelta(days=1)
    return None


def _after_header(text: str, now: datetime) -> datetime | None:
    """Retry-After as seconds or a date, at most an hour from now; None if it cannot be read."""
    text = text.strip()
    if text.isascii() and text.isdigit() and len(text) < 9:
        return now + min(timedelta(seconds=int(text)), _LONGEST_WAIT)
    try:
        when = parsedate_to_datetime(text)
    except (ValueError, OverflowError):
        return None
    when = when if when.tzinfo else when.replace(tzinfo=UTC)
    return min(max(when, now), now + _LONGEST_WAIT).astimezone(UTC)
