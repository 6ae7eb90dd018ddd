"""The digest as a mail: the same plan, sender and recipient give the same bytes, every time.

RFC 5322 (one From, Date, Message-ID; lines), 2046 (alternative: text first), 3834 (no automatic
answers), 2919 (List-Id).
"""

from __future__ import annotations

import hashlib
import re
from datetime import UTC
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import getaddresses
from typing import cast

from advisor.digest.clean import clean_text
from advisor.plan.model import Plan

LONGEST_SUBJECT = 50
"""Characters of a subject that a phone shows."""

FROM_NAME = "Swardcast"

# What a home server's mail needs of RFC 5321: no quoted local part, no address literal.
_ADDRESS = re.compile(
    r"[A-Za-z0-9!#$%&'*+/=?^_`{|}~-]+(?:\.[A-Za-z0-9!#$%&'*+/=?^_`{|}~-]+)*"
    r"@([A-Za-z0-9](?:[A-Za-z0-9-]*[A-Za-z0-9])?(?:\.[A-Za-z0-9](?:[A-Za-z0-9-]*[A-Za-z0-9])?)*)"
)


def build_mail(
    plan: Plan,
    *,
    sender: str,
    recipient: str,
    text: str,
    html: str,
    message_id_domain: str | None = None,
    purpose: str = "digest",
    reply_to: str | None = None,
) -> EmailMessage:
    """The mail that carries `text` and `html` of a plan to one recipient.

    `sender` and `recipient` are `name@domain` or `Somebody <name@domain>`; ValueError says which
    is no address. `purpose` tells apart mails of one day: a digest, and an alert by its id.
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
    for part in cast(list[EmailMessage], mail.get_payload()):
        del part["MIME-Version"]
    return mail


def mail_bytes(mail: EmailMessage) -> bytes:
    """The mail as it travels: ASCII, CRLF, no line over 998 octets."""
    return mail.as_bytes(policy=SMTP)


def message_id(mail: EmailMessage) -> str:
    """The mail's name, the same for every try to send it."""
    return str(mail["Message-ID"])


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
