"""Delivery by SMTP: one mail, one recipient, one try, and an honest word on how it ended.

RFC 5321 (the dialogue), 8314 (TLS first), 3207 (STARTTLS), 4954 (AUTH). RFC 1047 tells why a try
can end without anybody knowing whether the mail was accepted.
"""

from __future__ import annotations

import base64
import contextlib
import ipaddress
import re
import smtplib
import ssl
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Literal

from advisor.digest.clean import clean_text
from advisor.post.outcome import Kind, Outcome

TIMEOUT = 60.0
"""Seconds to wait for a connection and for each answer."""

FINAL_TIMEOUT = 600.0
"""Seconds to wait for the answer to the mail itself; RFC 5321, 4.5.3.2.6, asks for 10 minutes."""


@dataclass(frozen=True)
class SmtpConfig:
    """A submission server. `security`: tls from the start (port 465), starttls (587, never
    without), or none, which is for this machine only."""

    server: str
    port: int
    security: Literal["tls", "starttls", "none"] = "tls"
    user: str | None = None
    password: str | None = field(default=None, repr=False)


def send(
    message: bytes,
    sender: str,
    recipient: str,
    config: SmtpConfig,
    *,
    context: ssl.SSLContext | None = None,
    accepted: Callable[[], None] | None = None,
    timeout: float = TIMEOUT,
    final_timeout: float = FINAL_TIMEOUT,
) -> Outcome:
    """One try to hand `message` (CRLF, ASCII) to the server for one recipient.

    `accepted` is called right after the server took the mail and before anything else, so that it
    can be marked as sent. `context` is for servers with a certificate of one's own. Never raises
    for what a server or a network does.
    """
    wrong = _wrong_call(sender, recipient, config)
    if wrong:
        return Outcome(Kind.PERMANENT, wrong)
    tls = context or _context(config)
    client: smtplib.SMTP | None = None
    at_the_door = True
    try:
        try:
            client = _connect(config, tls, timeout)
            _greet(client)
            _secure(client, config, tls)
            _log_in(client, config)
            at_the_door = False
            _envelope(client, sender, recipient, len(message))
        except _RefusedError as refused:
            refusal = _outcome(refused.step, refused.code, refused.reply, config)
            return replace(refusal, at_the_door=at_the_door)
        except (smtplib.SMTPException, OSError, UnicodeError) as error:
            return replace(_before_the_mail(error, config), at_the_door=at_the_door)
        outcome = _hand_over(client, message, config, final_timeout)
        if outcome.delivered and accepted is not None:
            accepted()
        return outcome
    finally:
        if client is not None:
            _leave(client, timeout)


def try_login(
    config: SmtpConfig, context: ssl.SSLContext | None = None, *, timeout: float = TIMEOUT
) -> Outcome:
    """Go as far as the login and no further: nothing is sent, and no sender or recipient named.

    `delivered` means that the server let us in. Never raises for what a server or a network does.
    """
    wrong = _wrong_config(config)
    if wrong:
        return Outcome(Kind.PERMANENT, wrong)
    tls = context or _context(config)
    client: smtplib.SMTP | None = None
    try:
        client = _connect(config, tls, timeout)
        _greet(client)
        _secure(client, config, tls)
        _log_in(client, config)
    except _RefusedError as refused:
        return _outcome(refused.step, refused.code, refused.reply, config)
    except (smtplib.SMTPException, OSError, UnicodeError) as error:
        return _before_the_mail(error, config)
    finally:
        if client is not None:
            _leave(client, timeout)
    who = f"let {config.user} in" if config.user else "answers, and no login is asked for"
    how = "" if config.security == "none" else " over TLS, with a trusted certificate"
    return Outcome(
        Kind.DELIVERED, f"{config.server}, port {config.port}, {who}{how}. Nothing was sent."
    )


def _context(config: SmtpConfig) -> ssl.SSLContext | None:
    """The system's trusted certificates; to read them is not worth it where none is asked for."""
    return None if config.security == "none" else ssl.create_default_context()


class _RefusedError(Exception):
    """The server's answer to a step was no."""

    def __init__(self, step: str, code: int, reply: bytes) -> None:
        super().__init__(step)
        self.step, self.code, self.reply = step, code, reply


def _wrong_call(sender: str, recipient: str, config: SmtpConfig) -> str:
    for address in (sender, recipient):
        if not re.fullmatch(r"[!-;=?-~]+@[!-;=?-~]+", address):
            return f"“{clean_text(address, 80)}” is not a plain mail address."
    return _wrong_config(config)


def _wrong_config(config: SmtpConfig) -> str:
    if config.security == "none" and not _is_here(config.server):
        return (
            f"Mail to {config.server} would travel unprotected: security “none” is for a server on "
            "this machine. Use “tls” or “starttls”."
        )
    if config.user and config.password is None:
        return f"There is no password for the user {config.user} of {config.server}."
    return ""


def _is_here(server: str) -> bool:
    if server.casefold() == "localhost":
        return True
    try:
        return ipaddress.ip_address(server).is_loopback
    except ValueError:
        return False


def _connect(config: SmtpConfig, tls: ssl.SSLContext | None, timeout: float) -> smtplib.SMTP:
    # The name in EHLO lands in the mail's headers; this literal tells nothing of the machine.
    name = "[127.0.0.1]"
    try:
        client = (
            smtplib.SMTP_SSL(config.server, config.port, name, timeout=timeout, context=tls)
            if config.security == "tls"
            else smtplib.SMTP(config.server, config.port, name, timeout=timeout)
        )
    except smtplib.SMTPConnectError as error:
        raise _RefusedError("the greeting", error.smtp_code, _octets(error.smtp_error)) from None
    return client


def _greet(client: smtplib.SMTP) -> None:
    code, reply = client.ehlo()
    if code != 250:
        raise _RefusedError("EHLO", code, reply)


def _secure(client: smtplib.SMTP, config: SmtpConfig, tls: ssl.SSLContext | None) -> None:
    if config.security != "starttls":
        return
    if not client.has_extn("starttls"):
        raise smtplib.SMTPNotSupportedError("STARTTLS")
    try:
        client.starttls(context=tls)
    except smtplib.SMTPResponseException as error:
        raise _RefusedError("STARTTLS", error.smtp_code, _octets(error.smtp_error)) from None
    _greet(client)


def _log_in(client: smtplib.SMTP, config: SmtpConfig) -> None:
    """One AUTH, one try: a second with another mechanism counts towards a lock-out."""
    if not config.user:
        return
    offered = client.esmtp_features.get("auth", "").upper().split()
    user, password = config.user.encode(), (config.password or "").encode()
    if "PLAIN" in offered:
        code, reply = client.docmd("AUTH", "PLAIN " + _base64(b"\0" + user + b"\0" + password))
    elif "LOGIN" in offered:
        code, reply = client.docmd("AUTH", "LOGIN " + _base64(user))
        if code == 334:
            code, reply = client.docmd(_base64(password))
    else:
        raise smtplib.SMTPNotSupportedError("AUTH")
    if code not in (235, 503):
        raise _RefusedError("the password", code, reply)


def _envelope(client: smtplib.SMTP, sender: str, recipient: str, size: int) -> None:
    options = [f"size={size}"] if client.has_extn("size") else []
    code, reply = client.mail(sender, options)
    if code != 250:
        raise _RefusedError("the sender", code, reply)
    code, reply = client.rcpt(recipient)
    if code not in (250, 251):
        raise _RefusedError("the recipient", code, reply)
    code, reply = client.docmd("DATA")
    if code != 354:
        raise _RefusedError("DATA", code, reply)


def _hand_over(
    client: smtplib.SMTP, message: bytes, config: SmtpConfig, final_timeout: float
) -> Outcome:
    """The mail itself. Before the closing dot it was surely not accepted; after it, and without
    an answer, nobody can tell."""
    body = re.sub(rb"\r\n|\r|\n", b"\r\n", message)
    body = re.sub(rb"(?m)^\.", b"..", body)
    try:
        client.send(body if body.endswith(b"\r\n") else body + b"\r\n")
    except (smtplib.SMTPException, OSError) as error:
        return _before_the_mail(error, config)
    try:
        if client.sock is not None:
            client.sock.settimeout(final_timeout)
        client.send(b".\r\n")
        code, reply = client.getreply()
    except (smtplib.SMTPException, OSError) as error:
        return Outcome(
            Kind.AMBIGUOUS,
            f"{config.server} was given the whole mail and never answered ({_why(error)}): it may "
            "have been accepted.",
        )
    if 200 <= code < 300:
        return Outcome(Kind.DELIVERED, f"{config.server} accepted the mail.")
    return _outcome("the mail", code, reply, config)


def _leave(client: smtplib.SMTP, timeout: float) -> None:
    """QUIT changes nothing any more, whatever comes back."""
    if client.sock is not None:
        with contextlib.suppress(smtplib.SMTPException, OSError):
            client.sock.settimeout(min(timeout, 10.0))
            client.docmd("QUIT")
    client.close()


def _outcome(step: str, code: int, reply: bytes, config: SmtpConfig) -> Outcome:
    said = _said(reply, config)
    if 400 <= code < 500:
        return Outcome(Kind.TRANSIENT, f"{config.server} put off {step}: {code}{said}.")
    if 500 <= code < 600:
        more = " Mend the user or the password first." if step == "the password" else ""
        return Outcome(Kind.PERMANENT, f"{config.server} refused {step}: {code}{said}.{more}")
    if step == "the mail":
        return Outcome(Kind.AMBIGUOUS, f"{config.server} answered {code} to the mail{said}.")
    return Outcome(
        Kind.PERMANENT,
        f"What answers at {config.server}, port {config.port}, is no mail server that we can use "
        f"(it answered {step} with {code}).",
    )


def _before_the_mail(error: Exception, config: SmtpConfig) -> Outcome:
    """An end before the closing dot: the mail was not accepted."""
    place = f"{config.server}, port {config.port}"
    if isinstance(error, smtplib.SMTPNotSupportedError):
        what = str(error)
        if what == "STARTTLS":
            return Outcome(
                Kind.PERMANENT,
                f"{place} does not offer STARTTLS, and mail is not sent without protection.",
            )
        return Outcome(Kind.PERMANENT, f"{place} does not offer a login (PLAIN or LOGIN) here.")
    if isinstance(error, ssl.SSLCertVerificationError):
        return Outcome(
            Kind.PERMANENT,
            f"The certificate of {place} is not trusted: {clean_text(error.verify_message, 160)}.",
        )
    if isinstance(error, ssl.SSLError) and error.reason in {
        "WRONG_VERSION_NUMBER",
        "UNKNOWN_PROTOCOL",
        "HTTP_REQUEST",
        "RECORD_LAYER_FAILURE",
    }:
        return Outcome(
            Kind.PERMANENT,
            f"{place} does not speak TLS from the start; is it “starttls”, or another port?",
        )
    if isinstance(error, UnicodeError):
        return Outcome(Kind.PERMANENT, f"“{config.server}” is not a name of a server.")
    return Outcome(Kind.TRANSIENT, f"{place} could not be used: {_why(error)}.")


def _why(error: Exception) -> str:
    if isinstance(error, TimeoutError):
        return "no answer in time"
    text = (error.strerror or "") if isinstance(error, OSError) else ""
    return clean_text(text or str(error) or type(error).__name__, 160).rstrip(".")


def _said(reply: bytes, config: SmtpConfig) -> str:
    """The server's own words, short and clean; none if they hold the password in any form."""
    if config.password:
        whole = f"\0{config.user}\0{config.password}".encode()
        forms = (config.password, _base64(config.password.encode()), _base64(whole))
        if any(form.encode() in reply for form in forms):
            return ""
    text = clean_text(reply.decode("utf-8", "replace"), 200).rstrip(".")
    return f" {text}" if text else ""


def _base64(octets: bytes) -> str:
    return base64.b64encode(octets).decode("ascii")


def _octets(reply: bytes | str) -> bytes:
    return reply if isinstance(reply, bytes) else reply.encode()
