"""A sign of life to a monitor of the owner's choice: one GET, whose failure harms nothing.

A mail that does not come cannot be seen; a monitor that is no longer pinged says so.
"""

from __future__ import annotations

import httpx

SECONDS = 10.0


def ping(address: str, transport: httpx.BaseTransport | None = None) -> str:
    """Ask for the address once. Returns a sentence on what went wrong, or the empty text."""
    headers = {"User-Agent": "swardcast"}
    try:
        with httpx.Client(timeout=SECONDS, headers=headers, transport=transport) as client:
            status = client.get(address).status_code
    except (httpx.HTTPError, httpx.InvalidURL, OSError, ValueError, ImportError) as error:
        return f"The monitor could not be reached ({type(error).__name__})."
    return "" if status < 400 else f"The monitor answered with status {status}."
