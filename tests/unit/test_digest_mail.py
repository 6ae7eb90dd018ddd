"""The mail: what it is made of, how it reads when parsed back, and that it never changes."""

from __future__ import annotations

import email
import socket
from datetime import UTC, datetime
from email import policy
from email.message import EmailMessage
from typing import Any, cast

import pytest
from sample_plan import sample_plan

from advisor.digest.html import BUDGET, render_html
from advisor.digest.mail import build_mail, mail_bytes, message_id
from advisor.digest.text import render_text
from advisor.plan.model import Plan

STRICT = policy.default.clone(raise_on_defect=True)


def build(plan: Plan | None = None, **changes: Any) -> EmailMessage:
    plan = plan or sample_plan()
    given: dict[str, Any] = {
        "sender": "lawn@example.org",
        "recipient": "someone@example.net",
        "text": render_text(plan),
        "html": render_html(plan),
        **changes,
    }
    return build_mail(plan, **given)


def parsed(mail: EmailMessage) -> EmailMessage:
    """The bytes read back by the standard library, which raises at any defect."""
    return cast(EmailMessage, email.message_from_bytes(mail_bytes(mail), policy=STRICT))


def test_structure_is_text_first_html_last() -> None:
    mail = parsed(build())
    assert mail.get_content_type() == "multipart/alternative"
    parts = list(mail.iter_parts())
    assert [part.get_content_type() for part in parts] == ["text/plain", "text/html"]
    for part in parts:
        assert part.get_content_charset() == "utf-8"
        assert part["Content-Transfer-Encoding"] == "quoted-printable"


def test_bodies_come_back_as_they_were() -> None:
    """Every letter survives, whatever its script; a line that begins with a dot or From too."""
    text = "From here\n.\n..dot\nWiese – 草坪 👩‍🌾 = 100 %\n" + "long " * 300 + "\n"
    page = f"<!DOCTYPE html>\n<p>{text}</p>\n"
    first, last = parsed(build(text=text, html=page)).iter_parts()
    assert first.get_content().replace("\r\n", "\n") == text
    assert last.get_content().replace("\r\n", "\n") == page


def test_headers() -> None:
    plan = sample_plan()
    raw = mail_bytes(build(plan))
    mail = parsed(build(plan))
    for name in ("From", "To", "Subject", "Date", "Message-ID", "MIME-Version", "List-Id"):
        assert len(mail.get_all(name, [])) == 1, name
    assert raw.count(b"MIME-Version") == 1
    assert mail["Subject"] == plan.headline.subject
    assert mail["Auto-Submitted"] == "auto-generated"
    assert mail["List-Id"] == "<tern-hollow.swardcast.example.org>"
    assert mail["Date"].datetime == plan.decided_at
    assert mail["From"].addresses[0].addr_spec == "lawn@example.org"
    assert mail["From"].addresses[0].display_name == "Swardcast"
    assert "List-Unsubscribe-Post" not in mail
    assert "List-Unsubscribe" not in mail


def test_bytes_are_ascii_in_crlf_lines_of_at_most_998_octets() -> None:
    """RFC 5322, 2.1.1; quoted-printable keeps body lines to 76 (RFC 2045, 6.7)."""
    raw = mail_bytes(build())
    raw.decode("ascii")
    assert b"\n" not in raw.replace(b"\r\n", b"")
    assert b"\r" not in raw.replace(b"\r\n", b"")
    assert max(len(line) for line in raw.split(b"\r\n")) <= 78
    assert len(raw.split(b"Content-Type: text/html")[1]) <= BUDGET


def test_same_plan_gives_the_same_bytes() -> None:
    assert mail_bytes(build()) == mail_bytes(build())


def test_message_id_is_stable_and_tells_nothing_of_the_machine() -> None:
    plan = sample_plan()
    later = plan.model_copy(update={"decided_at": datetime(2026, 4, 8, 23, tzinfo=UTC)})
    name = message_id(build(plan))
    assert name == message_id(build(later, text="other words"))
    assert name.startswith("<2026-04-08.")
    assert name.endswith("@example.org>")
    assert socket.gethostname() not in name
    assert name == message_id(build(plan, recipient="Someone <SOMEONE@example.net>"))


def test_message_id_differs_by_site_date_recipient_and_purpose() -> None:
    plan = sample_plan()
    site = plan.site.model_copy(update={"id": "other"})
    names = {
        message_id(build(plan)),
        message_id(build(plan.model_copy(update={"site": site}))),
        message_id(build(plan.model_copy(update={"on": plan.on.replace(day=9)}))),
        message_id(build(plan, recipient="else@example.net")),
        message_id(build(plan, purpose="alert front-feed-1")),
    }
    assert len(names) == 5


def test_domain_of_the_message_id_can_be_given() -> None:
    assert message_id(build(message_id_domain="lawn.example.com")).endswith("@lawn.example.com>")


def test_boundary_stands_in_no_body() -> None:
    mail = build()
    boundary = mail.get_boundary()
    assert boundary is not None
    sneaky = build(text=f"--{boundary}--\n", html=f"<p>--{boundary}</p>\n")
    assert [part.get_content_type() for part in parsed(sneaky).iter_parts()] == [
        "text/plain",
        "text/html",
    ]


def test_subject_of_other_letters_and_of_too_many() -> None:
    plan = sample_plan()
    head = plan.headline.model_copy(update={"subject": "Gießen: Rasen – 草坪 " * 9})
    subject = parsed(build(plan.model_copy(update={"headline": head})))["Subject"]
    assert len(subject) == 50
    assert subject.startswith("Gießen: Rasen – 草坪 Gießen")


def test_a_name_beside_the_address_is_kept() -> None:
    mail = parsed(build(sender="Wiese, hinten <lawn@example.org>".replace(",", "")))
    assert mail["From"].addresses[0].display_name == "Wiese hinten"


@pytest.mark.parametrize(
    "address",
    ["", "nobody", "a@b\r\nBcc: c@d", "a b@example.org", "a@-x", "é@example.org", "a@b, c@d"],
)
def test_what_is_no_address_is_refused(address: str) -> None:
    with pytest.raises(ValueError, match="not a mail address"):
        build(recipient=address)
