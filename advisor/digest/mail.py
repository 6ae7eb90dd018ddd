"""The digest as a mail: the same plan, sender and recipient give the same bytes, every time.

RFC 5322 (one From, Date, Message-ID; lines), 2046 (alternative: text first), 2387 (related: the
page and its pictures), 2392 (cid), 6047 (the calendar's part), 3834 (no automatic answers), 2919
(List-Id).
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence
from datetime import UTC
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import getaddresses
from typing import NamedTuple, cast

from advisor.digest.clean import clean_text
from advisor.plan.model import Plan

LONGEST_SUBJECT = 50
"""Characters of a subject that a phone shows."""

FROM_NAME = "Swardcast"

TOTAL_BUDGET = 300_000
"""Octets that a whole mail should have at most [judgement: a second or two on a
slow phone]."""

CALENDAR_FILE = "digest.ics"

# What a home server's mail needs of RFC 5321: no quoted local part, no address literal.
_ADDRESS = re.compile(
    r"[A-Za-z0-9!#$%&'*+/=?^_`{|}~-]+(?:\.[A-Za-z0-9!#$%&'*+/=?^_`{|}~-]+)*"
    r"@([A-Za-z0-9](?:[A-Za-z0-9-]*[A-Za-z0-9])?(?:\.[A-Za-z0-9](?:[A-Za-z0-9-]*[A-Za-z0-9])?)*)"
)

_PICTURE_NAME = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")


class Inline(NamedTuple):
    """A picture inside the page, which shows it as `cid:` and `content_id`. `name` is a word of
    small letters, digits and hyphens; `alt` tells in words what it shows."""

    name: str
    png: bytes
    alt: str = ""


def content_id(plan: Plan, name: str) -> str:
    """The name of a picture within the mail, without its angle brackets; it needs no quoting in a
    `cid:` address. The page is the same for all readers, so it does not hang on the recipient.
    ValueError for a name that `Inline` does not allow."""
    if not _PICTURE_NAME.fullmatch(name):
        raise ValueError("a picture's name has small letters, digits and hyphens")
    return f"{name}.{_mark(plan, plan.decided_at.isoformat(), name)}@swardcast.invalid"


def build_mail(
    plan: Plan,
    *,
    sender: str,
    recipient: str,
    text: str,
    html: str,
    message_id_domain: str | None = None,
    purpose: str = "digest",
    pictures: Sequence[Inline] = (),
    calendar: bytes | None = None,
    reply_to: str | None = None,
) -> EmailMessage:
    """The mail that carries `text` and `html` of a plan to one recipient.

    `sender` and `recipient` are `name@domain` or `Somebody <name@domain>`; ValueError says which
    is no address. `purpose` tells apart mails of one day: a digest, and an alert by its id.
    `pictures` belong to the page; `calendar` (see `digest.calendar`) is attached where there is
    one.
    `reply_to` is where answers are read.
    Bytes to send or to keep: `mail_bytes`.
    """
    source, target = _address(sender, FROM_NAME), _address(recipient)
    domain = message_id_domain or source.domain
    site = re.sub(r"[^a-z0-9-]+", "-", plan.site.id.casefold()).strip("-") or "site"
    mark = _mark(plan, target.addr_spec, purpose)
    decided = plan.decided_at if plan.decided_at.tzinfo else plan.decided_at.replace(tzinfo=UTC)

    mail = EmailMessage(policy=SMTP)
    mail["From"] = source
    mail["To"] = target
    if reply_to is not None:
        mail["Reply-To"] = _address(reply_to)
    mail["Subject"] = clean_text(plan.headline.subject, LONGEST_SUBJECT)
    mail["Date"] = decided
    mail["Message-ID"] = f"<{plan.on.isoformat()}.{mark}@{domain}>"
    mail["List-Id"] = f"<{site}.swardcast.{domain}>"
    mail["Auto-Submitted"] = "auto-generated"
    mail.set_content(text, charset="utf-8", cte="quoted-printable")
    mail.add_alternative(html, subtype="html", charset="utf-8", cte="quoted-printable")
    # "=_" never stands in quoted-printable text, so no body can hold the boundary.
    mail.set_boundary(f"=_{mark}")
    if pictures:
        _relate(cast(list[EmailMessage], mail.get_payload())[-1], plan, pictures, f"=_r{mark}")
    if calendar:
        _attach(mail, calendar, f"=_m{mark}")
    for part in list(mail.walk())[1:]:
        del part["MIME-Version"]
    return mail


# A boundary begins no other ("r" and "m" are no digits of a mark): RFC 2046, 5.1.1 compares the
# beginning of a line.


def _relate(page: EmailMessage, plan: Plan, pictures: Sequence[Inline], boundary: str) -> None:
    """Put the pictures beside the page, which comes first."""
    page.make_related(boundary=boundary)
    page.set_param("type", "text/html")
    for picture in pictures:
        page.add_related(
            picture.png, maintype="image", subtype="png", disposition="inline",
            filename=f"{picture.name}.png", cid=f"<{content_id(plan, picture.name)}>",
        )  # fmt: skip
        if alt := clean_text(picture.alt):
            cast(list[EmailMessage], page.get_payload())[-1]["Content-Description"] = alt


def _attach(mail: EmailMessage, calendar: bytes, boundary: str) -> None:
    """Put the calendar behind the digest. Inside the alternative it would be shown in the digest's
    place, by all that understand it: they take the last part that they can (RFC 2046, 5.1.4)."""
    mail.make_mixed(boundary=boundary)
    mail.add_attachment(
        calendar, maintype="text", subtype="calendar", filename=CALENDAR_FILE,
        params={"method": "PUBLISH", "charset": "utf-8"},
    )  # fmt: skip


def mail_bytes(mail: EmailMessage) -> bytes:
    """The mail as it travels: ASCII, CRLF, no line over 998 octets."""
    return mail.as_bytes(policy=SMTP)


def message_id(mail: EmailMessage) -> str:
    """The mail's name, the same for every try to send it."""
    return str(mail["Message-ID"])


def sender_address(written: str) -> Address:
    """The sender of a mail, with a name. ValueError as `build_mail`."""
    return _address(written, FROM_NAME)


def _mark(plan: Plan, recipient: str, purpose: str) -> str:
    parts = (plan.site.id, plan.on.isoformat(), recipient.casefold(), purpose)
    whole = "\n".join(parts).encode("utf-8", "surrogatepass")
    return hashlib.sha256(whole).hexdigest()[:24]


def _address(written: str, name: str = "") -> Address:
    # All that stands there must be one address: of several, the others would be lost in silence.
    several = getaddresses([written])
    found_name, found = several[0] if len(several) == 1 else ("", "")
    if not _ADDRESS.fullmatch(found) or clean_text(written) != written.strip():
        raise ValueError(f"“{clean_text(written, 80)}” is not a mail address like name@example.org")
    return Address(display_name=clean_text(found_name or name, 60), addr_spec=found)
