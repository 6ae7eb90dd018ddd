"""A digest goes out by SMTP, its answer comes by IMAP, and the next digest knows it.

Both servers are real. A reply is what a mail program makes of the digest that was received: the
fixtures in `replies` have the words and the frame, the quoted digest is put in here.
"""

from __future__ import annotations

import base64
import html
import quopri
import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from email.message import EmailMessage
from email.utils import format_datetime
from pathlib import Path
from urllib.parse import parse_qs, unquote, urlsplit

import pytest
from command_line import mail_server
from doctor_cases import ask, findings
from imap_cases import Answered, Mailbox, imap_server

from advisor.cli import status
from advisor.service import answers as service
from advisor.site.load import ANSWERS_FILE
from advisor.store.database import Store

BEFORE = datetime(2025, 4, 19, 15, tzinfo=UTC)
SUNDAY = datetime(2025, 4, 20, 10, 5, tzinfo=UTC)
ANSWERED = datetime(2025, 4, 23, 21, tzinfo=UTC)
NEXT = datetime(2025, 4, 27, 10, 5, tzinfo=UTC)
BARRIER = (
    "2025-03-23  front  applied 12.6 lb of barrier-granules\n"
    "2025-03-23  back   applied 8.5 lb of barrier-granules\n"
)
FED = "2025-04-23 front applied 5.4 lb of steady-green"


@pytest.fixture
def box() -> Iterator[Mailbox]:
    with imap_server() as server:
        yield server


@pytest.fixture
def site(tmp_path: Path, box: Mailbox) -> Iterator[Answered]:
    """The demo in April, its barrier down, on the eve of a digest that advises to feed."""
    with mail_server() as (port, mails):
        made = Answered.made(tmp_path, port, mails, box.port)
        journal = made.site / "journal.txt"
        journal.write_text(journal.read_text() + BARRIER)
        made.take(BEFORE)
        yield made


def digest_of(site: Answered) -> EmailMessage:
    """The digest of Sunday, as it was received."""
    site.take(SUNDAY)
    mail = site.received()[-1]
    assert mail["Reply-To"] == "swardcast@tansy-hollow.example"
    return mail


def part(mail: EmailMessage, kind: str) -> str:
    body = mail.get_body((kind,))
    assert body is not None
    return str(body.get_content())


def flat(text: str) -> str:
    return " ".join(text.split())


def link(mail: EmailMessage, word: str, about: str = "feed, Front lawn") -> tuple[str, str, str]:
    """What the link of an answer writes: whom to, the subject, the body."""
    for written in re.findall(r'href="(mailto:[^"]*)"', part(mail, "html")):
        parts = urlsplit(html.unescape(written))
        fields = parse_qs(parts.query, strict_parsing=True)
        if fields["subject"][0].startswith(f"{word}: {about}"):
            return unquote(parts.path), fields["subject"][0], fields["body"][0]
    raise AssertionError(f"no link says {word} about {about}")


def written(subject: str, body: str, name: str = "1", at: datetime = ANSWERED) -> bytes:
    """A mail as a program sends it from a link."""
    mail = EmailMessage()
    mail["From"] = "ada.merriweather@tansy-hollow.example"
    mail["To"] = "swardcast@tansy-hollow.example"
    mail["Subject"] = subject
    mail["Date"] = format_datetime(at)
    mail["Message-ID"] = f"<{name}@tansy-hollow.example>"
    mail.set_content(body.replace("\r\n", "\n"))
    return mail.as_bytes().replace(b"\n", b"\r\n")


def reply(style: str, digest: EmailMessage) -> bytes:
    """A reply to the whole digest, in the style of one mail program."""
    frame = (Path(__file__).parent / "replies" / f"{style}.txt").read_text()
    plain = part(digest, "plain")
    page = re.sub(r"(?s)<!DOCTYPE.*?<body[^>]*>|</body>.*", "", part(digest, "html"))
    filled = frame.format(
        to=digest["Reply-To"],
        subject=digest["Subject"],
        subject64=base64.b64encode(f"AW: {digest['Subject']}".encode()).decode(),
        id=digest["Message-ID"],
        date=format_datetime(ANSWERED),
        plain=plain,
        marked="\n".join(f"> {line}".rstrip() for line in plain.splitlines()),
        html=page,
    )
    if style == "page":
        head, _, body = filled.partition("\n\n")
        filled = f"{head}\n\n{base64.encodebytes(body.encode()).decode()}"
    raw = filled.encode()
    if style == "headers":
        before, old, after = filled.partition(digest["Subject"] + "\n\n")
        quoted = quopri.encodestring(after.encode("cp1252", "replace"))
        raw = (before + old).encode() + quoted.replace(b"------=3D_part_1", b"------=_part_1")
    return raw.replace(b"\r\n", b"\n").replace(b"\n", b"\r\n")


@pytest.mark.parametrize("style", ["marked", "headers", "page"])
def test_a_reply_in_each_style_of_quoting_is_understood_and_the_next_digest_knows(
    site: Answered, box: Mailbox, style: str
) -> None:
    digest = digest_of(site)
    assert "5." in part(digest, "plain")
    box.put(reply(style, digest))
    site.take(ANSWERED)
    assert site.answers() == [FED]
    assert (box.unread(), box.all()) == (0, 1)
    site.take(NEXT)
    following = flat(part(site.received()[-1], "plain"))
    assert "Front lawn, Wed Apr 23: feed done, 5.4 lb of Steady Green" in following
    assert "done feed" not in following, "what was answered is not asked"
    assert "Front lawn, Wed Apr 23: feed done" in flat(part(site.received()[-1], "html"))
    site.take(NEXT + timedelta(days=7))
    assert "feed done, 5.4 lb" not in flat(part(site.received()[-1], "plain")), "told once"


@pytest.mark.parametrize(
    ("word", "line"),
    [
        ("done", "2025-04-23 front done feed"),
        ("skipped", "2025-04-23 front skipped feed"),
        ("not yet", "2025-04-23 front not yet feed"),
    ],
)
def test_each_link_writes_a_mail_that_is_understood(
    site: Answered, box: Mailbox, word: str, line: str
) -> None:
    to, subject, body = link(digest_of(site), word)
    assert to == "swardcast@tansy-hollow.example"
    box.put(written(subject, body))
    site.take(ANSWERED)
    assert site.answers() == [line]


def test_a_link_answers_what_an_older_digest_asked(site: Answered, box: Mailbox) -> None:
    """The next digest asks whether the front was fed, and that can be answered by a link too."""
    digest_of(site)
    site.take(NEXT)
    asking = site.received()[-1]
    assert "2025-04-23 front done feed" in flat(part(asking, "plain"))
    links = re.findall(r'href="(mailto:[^"]*)"', part(asking, "html"))
    assert any("done%3A%20feed%2C%20Front%20lawn" in one for one in links)
    _, subject, body = link(asking, "skipped")
    box.put(written(subject, body, at=NEXT + timedelta(hours=3)))
    site.take(NEXT + timedelta(hours=4))
    assert site.answers() == ["2025-04-23 front skipped feed"]


def test_what_was_not_understood_is_told_and_nothing_is_written(
    site: Answered, box: Mailbox
) -> None:
    _, subject, _ = link(digest_of(site), "done")
    box.put(written(subject, "I think it was half done?"))
    site.take(NEXT)
    assert site.answers() == []
    assert "“I think it was half done?” was not taken" in flat(part(site.received()[-1], "plain"))


def test_undo_takes_back_what_was_answered(site: Answered, box: Mailbox) -> None:
    _, subject, _ = link(digest_of(site), "done")
    box.put(written(subject, "done 54 lb"), written(subject, "undo\ndone 5.4 lb", "2"))
    site.take(NEXT)
    assert site.answers() == [
        "2025-04-23 front applied 54 lb of steady-green",
        "2025-04-23 front undo 2025-04-23 applied 54 lb of steady-green",
        FED,
    ]
    told = flat(part(site.received()[-1], "plain"))
    assert "was advised. It counts as you wrote it" in told


def test_a_digest_looks_first_whenever_it_looked_last(site: Answered, box: Mailbox) -> None:
    """The mailbox is looked at every quarter of an hour, and before a digest in any case."""
    _, subject, body = link(digest_of(site), "done")
    site.take(NEXT - timedelta(minutes=7))
    box.put(written(subject, body))
    site.take(NEXT - timedelta(minutes=6))
    assert site.answers() == []
    site.take(NEXT)
    assert site.answers() == ["2025-04-23 front done feed"]


def test_the_next_waking_is_the_next_look(site: Answered) -> None:
    site.take(SUNDAY)
    assert float(site.recall("wake_at")) <= (SUNDAY + timedelta(minutes=15)).timestamp() + 1


def test_readings_come_with_an_answer(site: Answered, box: Mailbox) -> None:
    _, subject, _ = link(digest_of(site), "done")
    box.put(written(subject, "Regen 0,42 in gestern\n54 F at 2 in, 08:00\nseen wilting"))
    site.take(ANSWERED)
    assert site.answers() == [
        "2025-04-22 all rain 0.42 in",
        "2025-04-23 front soil 54 F at 2 in, 08:00",
        "2025-04-23 front seen wilting",
    ]


@pytest.mark.parametrize("step", ["remember_heard", "mark_read"])
def test_a_kill_between_the_line_and_the_memory_of_it_writes_nothing_twice(
    site: Answered, box: Mailbox, step: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    _, subject, _ = link(digest_of(site), "done")
    box.put(written(subject, "done 5.4 lb"))

    class KilledError(BaseException):
        pass

    def killed(*_: object) -> None:
        raise KilledError

    with monkeypatch.context() as patch:
        owner = Store if step == "remember_heard" else service.Inbox
        patch.setattr(owner, step, killed)
        with pytest.raises(KilledError):
            site.take(ANSWERED)
    assert site.answers() == [FED]
    site.take(NEXT)
    site.take(NEXT + timedelta(hours=1))
    assert site.answers() == [FED]
    told = flat(part(site.received()[-1], "plain"))
    assert "5.4 lb of" in told and "your answers" in told
    assert "was not taken" not in told


def test_an_undo_that_was_killed_undoes_nothing_more(
    site: Answered, box: Mailbox, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Said again by the same mail, it would take back the answer before as well."""
    _, subject, _ = link(digest_of(site), "done")
    box.put(written(subject, "done"), written(subject, "done 5.4 lb", "2"))
    site.take(ANSWERED)
    box.put(written(subject, "undo", "3"))
    with monkeypatch.context() as patch:
        patch.setattr(Store, "remember_heard", lambda *_: 1 / 0)
        with pytest.raises(ZeroDivisionError):
            site.take(ANSWERED + timedelta(hours=1))
    site.take(ANSWERED + timedelta(hours=2))
    assert site.answers() == [
        "2025-04-23 front done feed",
        FED,
        "2025-04-23 front undo 2025-04-23 applied 5.4 lb of steady-green",
    ]


def test_doctor_tries_the_mailbox_and_status_tells_of_it(
    site: Answered, box: Mailbox, capsys: pytest.CaptureFixture[str]
) -> None:
    found = findings(capsys, site.site, site.base)["Answers"]
    assert found["state"] == "ok" and "let lawn in" in found["text"]
    assert "Answers        read " in ask(capsys, status, site.site, site.base).out
    site.reads_at(box.port, folder="Nowhere")
    found = findings(capsys, site.site, site.base)["Answers"]
    assert found["state"] == "fault" and "no folder “Nowhere”" in found["text"]
    (site.site.parent / "password").write_text("wrong\n")
    found = findings(capsys, site.site, site.base)["Answers"]
    assert found["state"] == "fault" and "refused the user or the password" in found["text"]
    site.take(BEFORE + timedelta(hours=1))
    assert "the mailbox fails: " in flat(ask(capsys, status, site.site, site.base).out)


def test_a_look_that_was_killed_counts_no_replay(
    site: Answered, box: Mailbox, monkeypatch: pytest.MonkeyPatch
) -> None:
    _, subject, body = link(digest_of(site), "done")
    site.take(ANSWERED - timedelta(hours=1))
    box.put(written(subject, body))
    with monkeypatch.context() as patch:
        patch.setattr(service.Inbox, "mark_read", lambda *_: 1 / 0)
        with pytest.raises(ZeroDivisionError):
            site.take(ANSWERED)
    site.take(ANSWERED + timedelta(hours=1))
    assert site.answers() == ["2025-04-23 front done feed"]
    assert site.untold().left == {}


def test_a_line_bears_the_name_of_its_mail_and_of_the_advice(site: Answered, box: Mailbox) -> None:
    _, subject, body = link(digest_of(site), "done")
    box.put(written(subject, body))
    site.take(ANSWERED)
    (line,) = (site.state / ANSWERS_FILE).read_text().splitlines()
    assert re.search(r"  # by mail [0-9a-f]{16} to feed/front/2025-04-23$", line)
    assert (site.state / "answers.key").stat().st_mode & 0o777 == 0o600
