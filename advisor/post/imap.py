"""A connection to an IMAP server that cannot outlast its deadline, nor grow beyond its bounds.

RFC 9051 (the dialogue), 8314 (TLS first), 2595 and 4616 (login). The standard library waits for
each octet as long as it is let, and believes any size that a server names; so every octet is read
here.
"""

from __future__ import annotations

import imaplib
import socket
import ssl
from base64 import b64encode
from dataclasses import dataclass, field
from time import monotonic
from typing import Literal

from imap_tools import BaseMailBox, ImapToolsError

from advisor.digest.clean import clean_text

ANSWER_SECONDS = 20.0
"""Seconds to wait for a connection and for each piece of an answer."""

LONGEST_ANSWER = 2_100_000
"""Octets of one line, and of one literal, that are taken from a server: a little more than the
largest mail that is fetched, since some do not know how to send a part."""

_CHUNK = 65_536


class InboxError(Exception):
    """A mailbox that cannot be read; a sentence that says why, and never holds a password."""


@dataclass(frozen=True)
class ImapConfig:
    """A mailbox. `security`: tls from the start (port 993), starttls (143, never without), or none,
    which is for this machine only."""

    server: str
    port: int
    user: str
    password: str = field(repr=False)
    security: Literal["tls", "starttls", "none"] = "tls"
    folder: str = "INBOX"


class Client(imaplib.IMAP4):
    """The standard library's client, with a deadline over all that is read."""

    def __init__(
        self, config: ImapConfig, tls: ssl.SSLContext | None, seconds: float, answer: float
    ) -> None:
        self._until = monotonic() + seconds
        self._answer = answer
        self._held = b""
        self._tls = tls if config.security == "tls" else None
        super().__init__(config.server, config.port, timeout=self._left())

    def _left(self) -> float:
        left = self._until - monotonic()
        if left <= 0:
            raise TimeoutError("the time for all of it is over")
        return min(left, self._answer)

    def _create_socket(self, timeout: float | None) -> socket.socket:
        plain = socket.create_connection((self.host, self.port), timeout)
        if self._tls is None:
            return plain
        try:
            return self._tls.wrap_socket(plain, server_hostname=self.host)
        except BaseException:
            plain.close()
            raise

    def _more(self) -> None:
        self.sock.settimeout(self._left())
        got = self.sock.recv(_CHUNK)
        if not got:
            raise self.abort("the connection was closed")
        self._held += got

    def read(self, size: int) -> bytes:
        if size > LONGEST_ANSWER:
            raise self.abort("an answer was longer than was asked for")
        parts, have = [], 0
        while have < size:
            if not self._held:
                self._more()
            part, self._held = self._held[: size - have], self._held[size - have :]
            parts.append(part)
            have += len(part)
        return b"".join(parts)

    def readline(self) -> bytes:
        looked = 0
        while (end := self._held.find(b"\n", looked)) < 0:
            looked = len(self._held)
            if looked > LONGEST_ANSWER:
                raise self.abort("a line was longer than any should be")
            self._more()
        line, self._held = self._held[: end + 1], self._held[end + 1 :]
        return line

    def secure(self, tls: ssl.SSLContext) -> None:
        """STARTTLS. What came in the open behind its answer is no part of what follows (RFC 9051,
        6.2.1)."""
        if "STARTTLS" not in self.capabilities:
            raise InboxError("it does not offer STARTTLS, and no password goes without protection")
        typ, _ = self._simple_command("STARTTLS")
        if typ != "OK" or self._held:
            raise self.abort("STARTTLS was refused, or something came in the open behind it")
        self.sock = tls.wrap_socket(self.sock, server_hostname=self.host)
        self._get_capabilities()


class Mailbox(BaseMailBox):
    """A mailbox of imap-tools that speaks through `Client`."""

    def __init__(
        self, config: ImapConfig, tls: ssl.SSLContext | None, seconds: float, answer: float
    ) -> None:
        self._with = (config, tls, seconds, answer)
        super().__init__()

    def _get_mailbox_client(self) -> imaplib.IMAP4:
        config, tls, _, _ = self._with
        client = Client(*self._with)
        if config.security == "starttls":
            assert tls is not None
            try:
                client.secure(tls)
            except BaseException:
                client.shutdown()
                raise
        return client


def connect(
    config: ImapConfig,
    *,
    context: ssl.SSLContext | None = None,
    seconds: float,
    answer: float = ANSWER_SECONDS,
) -> Mailbox:
    """Connect, log in once, and select the folder. `seconds` are for all that is done with it.

    Raises InboxError.
    """
    if config.security == "none" and config.server not in ("localhost", "127.0.0.1", "::1"):
        raise InboxError(
            f"The password for {config.server} would travel unprotected: security “none” is for a"
            " server on this machine. Use “tls” or “starttls”."
        )
    tls = context or (None if config.security == "none" else ssl.create_default_context())
    mailbox: Mailbox | None = None
    step = "the connection"
    try:
        mailbox = Mailbox(config, tls, seconds, answer)
        step = "the password"
        _log_in(mailbox, config)
        step = "the folder"
        mailbox.folder.set(config.folder)
    except InboxError as error:
        leave(mailbox)
        place = f"{config.server}, port {config.port}"
        raise InboxError(f"{place} cannot be used: {str(error).rstrip('.')}.") from None
    except FAULTS as error:
        leave(mailbox)
        raise InboxError(told(error, config, step)) from None
    return mailbox


FAULTS = (
    imaplib.IMAP4.error, ImapToolsError, OSError, ValueError, LookupError, TypeError,
    AttributeError, EOFError, MemoryError,
)  # fmt: skip
"""What the library raises at what servers and networks do; at garbage, nearly anything."""


def _log_in(mailbox: Mailbox, config: ImapConfig) -> None:
    """One login, one try: a second with another mechanism counts towards a lock-out."""
    capabilities = mailbox.client.capabilities
    if "AUTH=PLAIN" in capabilities:
        mailbox.login_utf8(config.user, config.password, initial_folder=None)
    elif "LOGINDISABLED" in capabilities:
        raise InboxError("it allows no login here")
    else:
        mailbox.login(config.user, config.password, initial_folder=None)


def leave(mailbox: Mailbox | None) -> None:
    """Close the connection; a LOGOUT changes nothing any more."""
    if mailbox is not None:
        try:
            mailbox.client.shutdown()
        except FAULTS:
            return


def told(error: BaseException, config: ImapConfig, step: str) -> str:
    """What went wrong, as a sentence for the owner."""
    place = f"{config.server}, port {config.port}"
    if isinstance(error, ssl.SSLCertVerificationError):
        why = clean_text(error.verify_message, 160)
        return f"The certificate of {place} is not trusted: {why}."
    if isinstance(error, ssl.SSLError) and step == "the connection":
        return f"{place} does not speak TLS from the start; is it “starttls”, or another port?"
    if isinstance(error, TimeoutError):
        return f"{place} gave no answer in time."
    if isinstance(error, OSError):
        return f"{place} could not be used: {clean_text(error.strerror or str(error), 160)}."
    if isinstance(error, imaplib.IMAP4.abort):
        return f"{place} broke off at {step}: {_said(error, config)}."
    if step == "the password" and isinstance(error, imaplib.IMAP4.error | ImapToolsError):
        return (
            # What a server says of a login may hold it.
            f"{config.server} refused the user or the password. Mend them first."
        )
    if step == "the folder" and isinstance(error, imaplib.IMAP4.error | ImapToolsError):
        folder = clean_text(config.folder, 80)
        return f"{config.server} has no folder “{folder}” for this user: {_said(error, config)}."
    return (
        f"What answers at {place} is no mailbox that we can use ({step}: {_said(error, config)})."
    )


def _said(error: BaseException, config: ImapConfig) -> str:
    whole = str(error)
    # A server may echo a command: as it is, escaped, or as it travels.
    plain = config.password.encode()
    login = b"\0".join((b"", config.user.encode(), plain))
    forms = (config.password, config.password.replace("\\", "\\\\").replace('"', '\\"'),
             b64encode(plain).decode(), b64encode(login).decode())  # fmt: skip
    if any(form in whole for form in forms):
        return "no reason is shown"
    return clean_text(whole, 160).rstrip(".") or "no reason is shown"
