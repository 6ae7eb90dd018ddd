"""The real command line for tests: called in this process, or as a program of its own."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, Envelope, Session

from advisor.cli.main import main
from advisor.shipped import shipped

ROOT = Path(__file__).parents[2]
HERE = "127.0.0.1"
NOBODY = 65534
NO_STATE = "/nonexistent"
"""The state of whoever runs the tests is not theirs to read or write."""


@dataclass(frozen=True)
class Said:
    """What a command answered."""

    code: int
    out: str
    err: str


def call(capsys: pytest.CaptureFixture[str], *words: str | Path) -> Said:
    """One command in this process."""
    capsys.readouterr()
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_STATE_HOME", NO_STATE)
        try:
            code = main([str(word) for word in words])
        except SystemExit as end:
            code = end.code if isinstance(end.code, int) else 1
    printed = capsys.readouterr()
    return Said(int(code), printed.out, printed.err)


def surroundings() -> dict[str, str]:
    """The environment of a program under test."""
    return {**os.environ, "PYTHONPATH": str(ROOT), "XDG_STATE_HOME": NO_STATE}


def program(*words: str | Path, python: Sequence[str] = (), **environment: str) -> Said:
    """One command as a program, with pipes in place of a terminal."""
    done = subprocess.run(
        [sys.executable, *python, "-m", "advisor.cli.main", *map(str, words)],
        capture_output=True,
        env={**surroundings(), **environment},
        timeout=60,
        check=False,
    )
    return Said(done.returncode, done.stdout.decode(), done.stderr.decode())


def demo(folder: Path) -> Path:
    """The demo as a site of its owner's, in `folder`."""
    left_out = shutil.ignore_patterns(".*", "*.py", "__pycache__", "making")
    return Path(shutil.copytree(shipped("demo_site"), folder / "site", ignore=left_out))


def change(file: Path, old: str, new: str) -> None:
    """Change what stands in a file exactly once."""
    text = file.read_text(encoding="utf-8")
    assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in {file.name}"
    file.write_text(text.replace(old, new), encoding="utf-8")


def on_a_service(site: Path, address: str) -> None:
    """Make a demo site a real one: the day is today, forecasts come from `address`."""
    change(site / "site.toml", 'recorded = "recorded"', f'base_url = "{address}"')
    text = (site / "site.toml").read_text(encoding="utf-8")
    before, _, after = text.partition("[demo]\n")
    (site / "site.toml").write_text(before + after.partition("\n\n")[2], encoding="utf-8")


def by_smtp(site: Path, port: int) -> None:
    """Make a demo site send to a mail server on this machine."""
    change(
        site / "site.toml",
        'maildir = "mail" ',
        f'server = "{HERE}"\nport = {port}\nsecurity = "none"\n#',
    )


def free_port() -> int:
    """A port of this machine at which nobody answers."""
    with socket.create_server((HERE, 0)) as server:
        return int(server.getsockname()[1])


class Mails:
    """What a mail server took; it answers `reply` to each mail."""

    def __init__(self, reply: str) -> None:
        self.reply = reply
        self.taken: list[tuple[str, list[str], bytes]] = []

    async def handle_DATA(  # noqa: N802 - the server finds its hook by this name
        self, _server: SMTP, _session: Session, envelope: Envelope
    ) -> str:
        if self.reply.startswith("2"):
            content = bytes(envelope.original_content or b"")
            self.taken.append((str(envelope.mail_from), list(envelope.rcpt_tos), content))
        return self.reply


@contextmanager
def mail_server(reply: str = "250 kept") -> Iterator[tuple[int, Mails]]:
    """A real SMTP server on this machine; its port, and what it took."""
    mails = Mails(reply)
    controller = Controller(mails, hostname=HERE, port=free_port())
    controller.start()
    try:
        yield controller.port, mails
    finally:
        controller.stop()


@contextmanager
def open_ground() -> Iterator[Path]:
    """A folder that other users may enter, as those of pytest are not."""
    folder = Path(tempfile.mkdtemp())
    folder.chmod(0o755)
    try:
        yield folder
    finally:
        shutil.rmtree(folder)


@contextmanager
def as_somebody_else() -> Iterator[None]:
    """Without the powers of root, if these tests have them: rights of files then hold. All that
    is used within must have been loaded before."""
    if os.geteuid() != 0:
        yield
        return
    if not all(folder.stat().st_mode & 0o005 == 0o005 for folder in (ROOT, *ROOT.parents)):
        pytest.skip("the shipped rules lie where nobody but root may go")
    os.setresuid(NOBODY, NOBODY, 0)
    try:
        yield
    finally:
        os.setresuid(0, 0, 0)


def standing(folder: Path) -> dict[str, tuple[bytes, int]]:
    """Every file of a folder, with its bytes and the time of its last change."""
    return {
        str(path.relative_to(folder)): (
            path.read_bytes() if path.is_file() else b"",
            path.stat().st_mtime_ns,
        )
        for path in (folder, *folder.rglob("*"))
    }
