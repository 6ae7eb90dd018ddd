"""A mail that may be an answer: its subject, the writer's own words, and what they quote.

RFC 5322 (the mail), 2045 to 2047 (its parts and odd letters), 3676 (flowed text, the mark of a
signature), 3834 (mail that no person wrote). Whatever bytes come, nothing raises; what cannot be
read says so.
"""

from __future__ import annotations

import codecs
import hashlib
import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from email.header import decode_header, make_header
from email.message import Message
from email.parser import BytesParser
from email.policy import compat32
from email.utils import parsedate_to_datetime

from advisor.post.reply_text import own_words, words_of_html

LARGEST = 2_000_000
"""Octets of a mail that is looked at; a larger one is no answer, and is never fetched."""

LOOKED_AT = 262_144
"""Octets of a mail, from its beginning, that are read: words come before pictures."""

LONGEST_WORDS = 4_000
LONGEST_QUOTE = 100_000
"""Characters that are kept of what was written, and of what was quoted."""

DEEPEST = 8
MOST_PARTS = 40
"""How deep, and how many, parts of a mail are looked at."""

_ODD_CODECS = frozenset({"idna", "punycode", "undefined", "unicode_escape", "raw_unicode_escape"})
_AUTOMATIC = re.compile(r"(?i)\b(?:mailer-daemon|postmaster|no-?reply)@")
_OWN_LIST = re.compile(r"(?i)<[a-z0-9-]+\.swardcast\.[a-z0-9.-]+>")


@dataclass(frozen=True)
class Reply:
    """One mail. `name` is the same for the same mail (a hash of its Message-ID, or of all of it).

    `automatic`: no person wrote it. `own`: it is one of our digests. `malformed`: it could not be
    taken apart. `written`: by its Date, which anybody may set; None where it has none.
    """

    name: str
    subject: str = ""
    words: str = ""
    quoted: str = ""
    written: datetime | None = None
    automatic: bool = False
    own: bool = False
    malformed: bool = False


def read_reply(raw: bytes) -> Reply:
    """Take a mail apart: at most `LOOKED_AT` octets of it. Never raises."""
    raw = raw[:LOOKED_AT]
    if raw.lower().count(b"boundary") > MOST_PARTS:
        return Reply(_name(raw), malformed=True)  # each costs time on every line that follows it
    try:
        return _taken_apart(raw)
    except (Exception, RecursionError):
        # The standard library's parser raises a dozen kinds of things at what people send.
        return Reply(_name(raw), malformed=True)


def _taken_apart(raw: bytes) -> Reply:
    mail = BytesParser(policy=compat32).parsebytes(raw)
    words, quoted = _texts(mail)
    return Reply(
        name=_name(_header(mail, "Message-ID").encode() or raw),
        subject=clean(_decoded_header(_header(mail, "Subject")), 500).replace("\n", " "),
        words=clean(words, LONGEST_WORDS),
        quoted=clean(quoted, LONGEST_QUOTE),
        written=_date(_header(mail, "Date")),
        automatic=_is_automatic(mail),
        own=bool(_OWN_LIST.search(_header(mail, "List-Id"))),
    )


def clean(text: str, limit: int) -> str:
    """Lines in NFC, at most `limit` characters, without characters that show nothing; no-break and
    other odd spaces become plain ones."""
    lines = []
    for line in re.split(r"\r\n|\r|\n|\u2028|\u2029", text[: 4 * limit]):
        spaced = "".join(" " if char == "\t" or char.isspace() else char for char in line)
        kept = "".join(char for char in spaced if unicodedata.category(char)[0] != "C")
        lines.append(unicodedata.normalize("NFC", kept).rstrip())
    return "\n".join(lines)[:limit]


def _name(what: bytes) -> str:
    return hashlib.sha256(what.strip()).hexdigest()[:16]


def _header(mail: Message, name: str) -> str:
    """A header as it stands, its odd octets as replacement signs; empty where there is none."""
    found = mail.get(name)
    return "" if found is None else str(found)[:2000].encode("utf-8", "replace").decode()


def _decoded_header(text: str) -> str:
    # Unfolded first: a break of lines stands for the space that follows it.
    text = re.sub(r"\r?\n(?=[ \t])", "", text)
    try:
        return str(make_header(decode_header(text)))
    except (LookupError, ValueError):
        return text


def _date(text: str) -> datetime | None:
    try:
        found = parsedate_to_datetime(text)
    except (ValueError, TypeError, IndexError, OverflowError):
        return None
    return found if found.tzinfo is not None else None


def _is_automatic(mail: Message) -> bool:
    """RFC 3834, section 2: what is sent by a program, for a list, or in answer to an answer."""
    submitted = _header(mail, "Auto-Submitted").partition(";")[0].strip().casefold()
    precedence = _header(mail, "Precedence").strip().casefold()
    return (
        submitted not in ("", "no")
        or precedence in ("bulk", "junk", "list")
        or _header(mail, "Return-Path").strip() == "<>"
        or bool(_AUTOMATIC.search(_header(mail, "From")))
        or mail.get_content_type() == "multipart/report"
    )


def _texts(mail: Message) -> tuple[str, str]:
    """The writer's own words and what is quoted, from the plain text or else from the HTML."""
    plain: Message | None = None
    page: Message | None = None
    for part in _parts(mail, 0, [MOST_PARTS]):
        if part.get_content_disposition() == "attachment":
            continue
        kind = part.get_content_type()
        if plain is None and kind == "text/plain":
            plain = part
        elif page is None and kind == "text/html":
            page = part
    if plain is not None:
        words, quoted = own_words(_text(plain), flowed=_is_flowed(plain))
        # Some programs put a plain part in that is empty, or only says that there is HTML.
        if words.strip() or quoted.strip() or page is None:
            return words, quoted
    return words_of_html(_text(page)) if page is not None else ("", "")


def _parts(mail: Message, depth: int, left: list[int]) -> Iterator[Message]:
    left[0] -= 1
    if left[0] < 0 or depth > DEEPEST:
        return
    if not mail.is_multipart():
        yield mail
        return
    if mail.get_content_maintype() == "message":
        return  # a mail that is carried along is no word of the writer's
    for part in mail.get_payload():
        if isinstance(part, Message):
            yield from _parts(part, depth + 1, left)


def _is_flowed(part: Message) -> bool:
    return str(part.get_param("format", "")).casefold() == "flowed"


def _text(part: Message) -> str:
    """The text of a part in whatever letters it says it has; what is none of them is replaced."""
    payload = part.get_payload(decode=True)
    octets = payload if isinstance(payload, bytes) else b""
    try:
        charset = codecs.lookup(part.get_content_charset() or "utf-8").name
        if charset in _ODD_CODECS:
            charset = "utf-8"
        return octets.decode(charset, "replace")
    except (LookupError, ValueError):
        return octets.decode("utf-8", "replace")
