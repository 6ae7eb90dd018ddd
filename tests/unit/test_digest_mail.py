"""The mail: what it is made of, how it reads when parsed back, and that it never changes."""

from __future__ import annotations

import email
import re
import socket
from datetime import UTC, datetime
from email import policy
from email.message import EmailMessage
from typing import Any, cast

import pytest
from sample_plan import sample_plan

from advisor.digest.html import BUDGET, render_html
from advisor.digest.mail import (
    TOTAL_BUDGET,
    Inline,
    build_mail,
    content_id,
    mail_bytes,
    message_id,
)
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


PNG = b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 40
ICS = b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nX-WORT:Gr\xc3\xbcn\r\nEND:VCALENDAR\r\n"
PICTURES = (Inline("season", PNG, "Das Jahr, in Grün\r\nBcc: c@example.net"), Inline("soil-2", PNG))


def shape(part: EmailMessage) -> Any:
    """The tree of a mail by its types."""
    kind = part.get_content_type()
    return (kind, [shape(each) for each in part.iter_parts()]) if part.is_multipart() else kind


PAGE_AND_PICTURES = ("multipart/related", ["text/html", "image/png", "image/png"])


@pytest.mark.parametrize(
    ("given", "wanted"),
    [
        ({}, ("multipart/alternative", ["text/plain", "text/html"])),
        ({"calendar": b""}, ("multipart/alternative", ["text/plain", "text/html"])),
        ({"pictures": PICTURES}, ("multipart/alternative", ["text/plain", PAGE_AND_PICTURES])),
        (
            {"calendar": ICS},
            (
                "multipart/mixed",
                [("multipart/alternative", ["text/plain", "text/html"]), "text/calendar"],
            ),
        ),
        (
            {"pictures": PICTURES, "calendar": ICS},
            (
                "multipart/mixed",
                [("multipart/alternative", ["text/plain", PAGE_AND_PICTURES]), "text/calendar"],
            ),
        ),
    ],
)
def test_structure_with_pictures_and_calendar(given: dict[str, Any], wanted: Any) -> None:
    """RFC 2046, 5.1.4: the best of the alternatives last; 2387: the page first. Nothing but the
    parts changes: the headers, the text and the page are those of the plain mail."""
    mail, plain = parsed(build(**given)), parsed(build())
    assert shape(mail) == wanted
    assert all(part.defects == [] for part in mail.walk())
    for name in ("From", "To", "Subject", "Date", "Message-ID", "List-Id", "Auto-Submitted"):
        assert mail[name] == plain[name]
    for kind in ("plain", "html"):
        one, other = mail.get_body((kind,)), plain.get_body((kind,))
        assert one is not None
        assert other is not None
        assert one.get_content() == other.get_content()
    raw = mail_bytes(build(**given))
    assert raw == mail_bytes(build(**given))
    assert raw.count(b"MIME-Version") == 1
    raw.decode("ascii")
    assert max(len(line) for line in raw.split(b"\r\n")) <= 78
    assert len(raw) < TOTAL_BUDGET


def test_a_plain_mail_is_what_it_was() -> None:
    assert mail_bytes(build(pictures=(), calendar=None)) == mail_bytes(build())


def test_pictures_are_named_as_the_page_names_them() -> None:
    """RFC 2392: `cid:` and the Content-ID without its angle brackets; the same for all readers."""
    plan = sample_plan()
    page = "".join(f'<img src="cid:{content_id(plan, each.name)}">' for each in PICTURES)
    mail = parsed(build(plan, html=page, pictures=PICTURES))
    other = parsed(build(plan, html=page, pictures=PICTURES, recipient="else@example.net"))
    related = list(mail.iter_parts())[1]
    # RFC 2387, 3.1: the parameter is required, and names the type of the root
    assert related.get_param("type") == "text/html"
    root, *images = related.iter_parts()
    assert re.findall(r"cid:([^\"]+)", root.get_content()) == [
        image["Content-ID"].strip("<>") for image in images
    ]
    assert [image["Content-ID"] for image in list(other.iter_parts())[1].iter_parts()][1:] == [
        image["Content-ID"] for image in images
    ]
    assert len({image["Content-ID"] for image in images}) == 2
    assert all(re.fullmatch(r"<[a-z0-9.-]+@[a-z0-9.-]+>", i["Content-ID"]) for i in images)
    assert [image.get_content() for image in images] == [PNG, PNG]
    assert [image.get_content_disposition() for image in images] == ["inline", "inline"]
    assert [image.get_filename() for image in images] == ["season.png", "soil-2.png"]
    assert images[0]["Content-Description"] == "Das Jahr, in Grün Bcc: c@example.net"
    assert "Content-Description" not in images[1]
    assert "Bcc" not in images[0]
    earlier = plan.model_copy(update={"decided_at": plan.decided_at.replace(hour=3)})
    assert content_id(earlier, "season") != content_id(plan, "season")


@pytest.mark.parametrize("name", ["", "Season", "a b", "a\r\nX: y", "-a", "ä", "a.png", "a>"])
def test_a_picture_s_name_is_one_word(name: str) -> None:
    with pytest.raises(ValueError, match="a picture's name"):
        build(pictures=(Inline(name, PNG),))


def test_the_calendar_is_a_file_beside_the_digest() -> None:
    """RFC 6047, 2.4 [from memory]: the type names method and charset. The octets come through."""
    calendar = list(parsed(build(calendar=ICS)).iter_parts())[1]
    assert calendar.get_param("method") == "PUBLISH"
    assert calendar.get_content_charset() == "utf-8"
    assert calendar.get_content_disposition() == "attachment"
    assert calendar.get_filename() == "digest.ics"
    assert calendar.get_payload(decode=True) == ICS


def test_no_boundary_is_the_beginning_of_another() -> None:
    """RFC 2046, 5.1.1: a boundary is compared with the beginning of each line."""
    mail = build(pictures=PICTURES, calendar=ICS)
    found = [part.get_boundary() for part in mail.walk() if part.is_multipart()]
    names = [name for name in found if name is not None]
    assert len(names) == len(set(names)) == 3
    assert not any(a != b and a.startswith(b) for a in names for b in names)
    text = "".join(f"--{name}\n--{name}--\n" for name in names)
    assert shape(parsed(build(text=text, html=text, pictures=PICTURES, calendar=ICS))) == shape(
        mail
    )
