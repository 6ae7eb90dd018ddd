"""What site.toml says of a mail server, and of the mailbox that answers are read from."""

from __future__ import annotations

import re
from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from advisor.site.fields import Address, Line, Table, WrongTextError


def _variable(text: str) -> str:
    if not re.fullmatch(r"[A-Za-z_][A-Za-z0-9_]*", text):
        raise WrongTextError("the name of an environment variable was expected, such as LAWN_MAIL")
    return text


def _credential(text: str) -> str:
    if not re.fullmatch(r"[A-Za-z0-9_-][A-Za-z0-9._-]*", text):
        raise WrongTextError("the name of a systemd credential was expected, such as mail-password")
    return text


def _host(text: str) -> str:
    if not re.fullmatch(r"[A-Za-z0-9]([A-Za-z0-9.-]*[A-Za-z0-9])?|[0-9A-Fa-f:]+", text):
        raise WrongTextError("the name of a mail server was expected, such as mail.example.org")
    return text


Variable = Annotated[str, AfterValidator(_variable)]
Credential = Annotated[str, AfterValidator(_credential)]
Host = Annotated[str, AfterValidator(_host)]


class Login(Table):
    """How to be let in at a mail server; a secret itself never stands in the file."""

    security: Literal["tls", "starttls", "none"] = Field(
        default="tls", examples=["tls"], description="none only on this machine itself"
    )
    user: Line | None = Field(
        default=None, examples=["lawn@example.org"], description="name to log in with"
    )
    password_env: Variable | None = Field(
        default=None,
        examples=["LAWN_MAIL"],
        description="environment variable that holds the password",
    )
    password_file: Line | None = Field(
        default=None, examples=["/etc/swardcast/mail"], description="file that holds the password"
    )
    password_credential: Credential | None = Field(
        default=None,
        examples=["mail-password"],
        description="systemd credential that holds the password",
    )
    password_command: tuple[Line, ...] | None = Field(
        default=None,
        strict=False,
        min_length=1,
        examples=[["pass", "show", "lawn"]],
        description="command and its words; it prints the password",
    )


class Answers(Login):
    """The mailbox in which answers to a digest arrive. It is read; nothing in it is deleted, moved
    or answered."""

    server: Host = Field(examples=["mail.example.org"], description="IMAP server")
    port: int | None = Field(
        default=None,
        ge=1,
        le=65535,
        examples=[993],
        description="993 for tls, else 143",
    )
    folder: Line = Field(
        default="INBOX", examples=["INBOX"], description="folder of the mailbox to look into"
    )
    address: Address | None = Field(
        default=None,
        examples=["lawn@example.org"],
        description="address that answers are written to; that of [mail] from if not given",
    )

    @property
    def port_used(self) -> int:
        return self.port or (993 if self.security == "tls" else 143)
