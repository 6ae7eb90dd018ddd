"""A signed token names one piece of advice of one site, so that an answer by mail can be trusted.

It is a word of 43 letters and digits: `sw1`, the version, then base32 (RFC 4648) in small letters
of the day it was issued, the name of the advice, and an HMAC-SHA256 (RFC 2104) over these and the
site. Base32 bears a change of case, needs no escape in a subject or a link, and has no sign at
which programs break a line.
"""

from __future__ import annotations

import base64
import binascii
import hashlib
import hmac
import re
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

VERSION = "sw1"
"""Of the form. `1` is no sign of base32, so no token is found within another's letters."""

VALID_FOR = timedelta(days=60)
"""A token is good for so long after its day: what happened before that is not told by a mail."""

KEY_BYTES = 32
"""Of a key: as many as the hash has (RFC 2104, section 3)."""

MAC_BYTES = 16
"""Half of the hash, the least that RFC 2104, section 5, advises to keep."""

_NAME_BYTES = 7
_DAY_BYTES = 2
_FIRST = date(2020, 1, 1)
_LETTERS = 40  # of base32 for 25 bytes, without padding
_PURPOSE = b"swardcast answer"

# Programs break and quote lines as they like; a token is whole again without what they put in.
_GAP = r"[\s>|]{0,8}"
_TOKEN = re.compile(
    rf"(?<![A-Za-z0-9]){_GAP.join(VERSION)}((?:{_GAP}[A-Za-z2-7]){{{_LETTERS}}})(?![A-Za-z0-9])",
    re.I,
)


class Refused(StrEnum):
    """Why a token is not taken."""

    MALFORMED = "malformed"
    FORGED = "forged"
    """Not signed with this key for this site: forged, another site's, or made with an older key."""
    EXPIRED = "expired"
    EARLY = "early"
    """Of a day to come."""


@dataclass(frozen=True)
class Token:
    """What a good token says: `name` is that of the advice, see `name_of`."""

    name: bytes
    issued: date


def name_of(action_id: str) -> bytes:
    """The short name of an advice, by its id: 56 bits, which are told apart within a site."""
    return hashlib.sha256(action_id.encode("utf-8", "surrogatepass")).digest()[:_NAME_BYTES]


def sign(key: bytes, site: str, action_id: str, issued: date) -> str:
    """The token for an advice of a site, issued on a local day of 2020 to 2199.

    ValueError for another day, or a key shorter than `KEY_BYTES`.
    """
    days = (issued - _FIRST).days
    if not 0 <= days < 1 << 8 * _DAY_BYTES:
        raise ValueError(f"a token cannot bear the day {issued}")
    said = days.to_bytes(_DAY_BYTES, "big") + name_of(action_id)
    whole = said + _mac(key, site, said)
    return VERSION + base64.b32encode(whole).decode("ascii").lower()


def read(key: bytes, site: str, token: str, today: date) -> Token | Refused:
    """What a token says, if it was signed with `key` for this site and is still good `today`."""
    text = token.strip().upper()
    if not text.startswith(VERSION.upper()) or len(text) != len(VERSION) + _LETTERS:
        return Refused.MALFORMED
    try:
        whole = base64.b32decode(text[len(VERSION) :])
    except (binascii.Error, ValueError):
        return Refused.MALFORMED
    said, mac = whole[:-MAC_BYTES], whole[-MAC_BYTES:]
    if not hmac.compare_digest(mac, _mac(key, site, said)):
        return Refused.FORGED
    issued = _FIRST + timedelta(int.from_bytes(said[:_DAY_BYTES], "big"))
    if today - issued > VALID_FOR:
        return Refused.EXPIRED
    if issued - today > timedelta(days=1):  # the site's midnight may lie between the two
        return Refused.EARLY
    return Token(said[_DAY_BYTES:], issued)


def find(text: str, most: int = 60) -> tuple[str, ...]:
    """The words of a text that look like tokens, each once, in small letters and whole."""
    found: dict[str, None] = {}
    for match in _TOKEN.finditer(text):
        found[VERSION + re.sub(r"[\s>|]", "", match[1]).lower()] = None
        if len(found) == most:
            break
    return tuple(found)


def without(text: str) -> str:
    """The text without what looks like a token, nor brackets about it."""
    return re.sub(rf"[\[(<]?{_TOKEN.pattern}[\])>]?", " ", text, flags=re.I)


def _mac(key: bytes, site: str, said: bytes) -> bytes:
    if len(key) < KEY_BYTES:
        raise ValueError(f"a key has {KEY_BYTES} bytes")
    parts = (_PURPOSE, VERSION.encode(), site.encode("utf-8", "surrogatepass"), said)
    # Each with its length before it: no two lists of parts give the same octets.
    whole = b"".join(len(part).to_bytes(4, "big") + part for part in parts)
    return hmac.new(key, whole, hashlib.sha256).digest()[:MAC_BYTES]
