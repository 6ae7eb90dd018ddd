"""The three ways in which asking for weather can fail, each with a sentence for the owner."""

from __future__ import annotations

import re
import unicodedata
from datetime import datetime

_LONGEST = 200


class WeatherError(Exception):
    """No usable weather. `str()` is one sentence for the owner, free of secrets."""


class Unreachable(WeatherError):  # noqa: N818 - these read as what happened
    """The service cannot be reached or has no time for us: try later.

    `retry_after` is the earliest instant (UTC) at which it is polite to ask again, where the
    service gave one; None leaves the wait to the caller's own schedule of tries.
    """

    def __init__(self, sentence: str, retry_after: datetime | None = None) -> None:
        super().__init__(sentence)
        self.retry_after = retry_after


class BadAnswer(WeatherError):  # noqa: N818
    """Something answered, and the answer is not usable weather."""


class Misconfigured(WeatherError):  # noqa: N818
    """The request, the key, the host or the machine's network settings are wrong.

    Asking again without a change is of no use.
    """


def quoted(text: str, secret: str | None = None) -> str:
    """Text from outside, fit to stand in a sentence for the owner.

    One line, no control, surrogate or direction characters, at most 200 characters, and without
    the secret wherever it was echoed.
    """
    text = without_secret(text, secret)
    plain = "".join(
        c if unicodedata.category(c) not in ("Cc", "Cf", "Cs", "Co") else " " for c in text
    )
    plain = re.sub(r"\s+", " ", plain).strip()
    return plain if len(plain) <= _LONGEST else plain[: _LONGEST - 1] + "…"


def without_secret(text: str, secret: str | None) -> str:
    """`text` with the secret replaced, plain or with any of its signs percent-encoded."""
    if not secret:
        return text
    signs = (f"(?:{re.escape(sign)}|(?i:%{ord(sign):02x}))" for sign in secret)
    return re.sub("".join(signs), "(key)", text)
