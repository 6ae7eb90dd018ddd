"""A real IMAP server for tests, in a process of its own, and the demo with its answers in there."""

from __future__ import annotations

import imaplib
import re
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from email import message_from_bytes, policy
from email.message import EmailMessage
from pathlib import Path

from command_line import HERE, Mails, by_smtp, demo, free_port
from owner import BEGINNING

from advisor.service.folders import read_folder
from advisor.service.turn import Turn
from advisor.site.load import ANSWERS_FILE
from advisor.store.answer_log import Untold
from advisor.store.database import Store

USER, PASSWORD = "lawn", "hidden word"
SITE = "tansy-hollow"


@dataclass
class Mailbox:
    """The server's one mailbox."""

    port: int

    @contextmanager
    def client(self) -> Iterator[imaplib.IMAP4]:
        client = imaplib.IMAP4(HERE, self.port, timeout=30)
        try:
            client.login(USER, PASSWORD)
            yield client
        finally:
            client.logout()

    def put(self, *mails: bytes) -> None:
        """As a mail server delivers."""
        with self.client() as client:
            for mail in mails:
                typ, said = client.append("INBOX", "", None, mail)  # type: ignore[arg-type]
                assert typ == "OK", said

    def unread(self) -> int:
        return len(self._found("UNSEEN"))

    def all(self) -> int:
        return len(self._found("ALL"))

    def _found(self, what: str) -> list[bytes]:
        with self.client() as client:
            client.select("INBOX", readonly=True)
            return bytes(client.search(None, what)[1][0]).split()

    def flags(self) -> set[str]:
        """Every flag that some mail has."""
        with self.client() as client:
            client.select("INBOX", readonly=True)
            _, found = client.fetch("1:*", "(FLAGS)")
        return {flag for one in found if one for flag in re.findall(r"\\\w+", str(one))}


@contextmanager
def imap_server(*options: str) -> Iterator[Mailbox]:
    """A server; each one that is started has a UIDVALIDITY of its own."""
    port = free_port()
    words = ["--host", HERE, "--port", str(port), *(options or ("--no-tls",)), "--no-service",
             "admin", "--no-service", "managesieve", "dict", "--demo-user", USER,
             "--demo-password", PASSWORD]  # fmt: skip
    run = "import sys; from pymap.main import main; sys.exit(main())"
    server = subprocess.Popen(
        [sys.executable, "-c", run, *words], stdout=subprocess.DEVNULL, stderr=subprocess.PIPE
    )
    try:
        for _ in range(200):
            with socket.socket() as probe:
                if probe.connect_ex((HERE, port)) == 0:
                    break
            assert server.poll() is None, server.stderr and server.stderr.read().decode()
            time.sleep(0.05)
        yield Mailbox(port)
    finally:
        server.terminate()
        server.communicate(timeout=10)


@dataclass
class Answered:
    """The demo as a site of its owner's that mails by SMTP and reads answers by IMAP; turns are run
    as the daemon's program runs them, at the moments of a test."""

    site: Path
    base: Path
    mails: Mails
    said: list[str] = field(default_factory=list)

    @property
    def state(self) -> Path:
        return self.base / SITE

    @classmethod
    def made(cls, folder: Path, smtp_port: int, mails: Mails, imap_port: int) -> Answered:
        site = demo(folder)
        by_smtp(site, smtp_port)
        (site / "journal.txt").write_text(BEGINNING)
        secret = folder / "password"
        secret.write_text(PASSWORD + "\n")
        secret.chmod(0o600)
        made = cls(site, folder / "state", mails)
        made.reads_at(imap_port)
        return made

    def reads_at(self, port: int, security: str = "none", **more: str) -> None:
        """Its mailbox is at that port."""
        toml = self.site / "site.toml"
        text = re.sub(r"(?sm)^\[answers\].*?\n\n", "", toml.read_text())
        keys = {"server": HERE, "security": security, "user": USER,
                "password_file": str(self.site.parent / "password"), **more}  # fmt: skip
        table = "".join(f'{key} = "{value}"\n' for key, value in keys.items())
        table = f"[answers]\nport = {port}\n{table}\n"
        toml.write_text(text.replace("[demo]\n", f"{table}[demo]\n", 1))

    def take(self, now: datetime) -> list[str]:
        """The turn of a moment; what it said."""
        self.state.mkdir(parents=True, exist_ok=True)
        first = read_folder(self.site, None, today=None).files
        assert first.site is not None, first.errors
        day = now.astimezone(first.site.place.zone_info).date()
        read = read_folder(self.site, self.state, today=day).without_future_lines()
        site = read.files.site
        assert site is not None and site.mail is not None
        with Store(self.state / "swardcast.sqlite3") as store:
            said = Turn(site, site.mail, read, store, self.state, now, {}).run()
        self.said += said
        return said

    def answers(self) -> list[str]:
        """The lines of the file of answers, without who sent them."""
        path = self.state / ANSWERS_FILE
        lines = path.read_text().splitlines() if path.exists() else []
        return [" ".join(line.partition("#")[0].split()) for line in lines]

    def untold(self) -> Untold:
        with Store(self.state / "swardcast.sqlite3") as store:
            return store.untold(SITE)

    def recall(self, key: str) -> str:
        with Store(self.state / "swardcast.sqlite3") as store:
            return store.recall(SITE, key) or ""

    def received(self) -> list[EmailMessage]:
        """What the mail server took, as a mail program reads it."""
        found = [message_from_bytes(raw, policy=policy.default) for _, _, raw in self.mails.taken]
        return [mail for mail in found if isinstance(mail, EmailMessage)]
