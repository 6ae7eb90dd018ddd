"""Whether what site.toml says of mail makes sense: one way to deliver, one place for a secret."""

from __future__ import annotations

from pydantic import BaseModel

from advisor.site.mailbox import Answers, Login
from advisor.site.place import Mail
from advisor.site.reading import Raw, quietly
from advisor.site.toml_lines import Path

_HERE = ("localhost", "127.0.0.1", "::1")


def at_most_one(raw: Raw, path: Path, what: str, table: BaseModel) -> list[str]:
    """The ways in which a secret is said to be kept; more than one is noted."""
    ways = [key for key in type(table).model_fields if key.startswith(f"{what}_")]
    used = [key for key in ways if getattr(table, key) is not None]
    for key in used[1:]:
        raw.at_key((*path, key), f"{used[0]} already says where the {what} is", "Keep one of them.")
    return used


def check_mail(raw: Raw) -> None:
    """Note what does not make sense in [mail] and [answers]."""
    mail = quietly(Mail, raw.data.get("mail"))
    if mail is not None:
        _check_delivery(raw, mail)
        _check_login(raw, "mail", mail, mail.server)
    answers = quietly(Answers, raw.data.get("answers"))
    if answers is None:
        return
    _check_login(raw, "answers", answers, answers.server)
    if answers.user is None:
        raw.at_key(("answers",), "[answers] names no user of the mailbox", 'Write: user = "lawn"')
    if "mail" not in raw.data:
        raw.at_key(
            ("answers",),
            "[answers] without [mail]: nothing is sent that could be answered",
            "Add a [mail] table, or leave this one out.",
        )


def _check_delivery(raw: Raw, mail: Mail) -> None:
    if mail.maildir is None and mail.server is None:
        raw.at_key(
            ("mail",), "[mail] names no way to deliver", 'Write: server = "mail.example.org"'
        )
    if mail.maildir is not None and mail.server is not None:
        raw.at_key(("mail", "maildir"), "a server is named already", "Keep one of the two.")


def _check_login(raw: Raw, table: str, login: Login, server: str | None) -> None:
    ways = at_most_one(raw, (table,), "password", login)
    if login.security == "none" and server is not None and server not in _HERE:
        raw.at(
            (table, "security"),
            "security: mail to another machine must not travel in the open"
            if table == "mail"
            else "security: mail from another machine must not travel in the open",
            'Right: security = "tls" or "starttls"; "none" only with server = "localhost".',
        )
    if ways and login.user is None:
        raw.at_key((table, ways[0]), "a password without a user", 'Write: user = "lawn"')
    if login.user is not None and not ways:
        raw.at_key(
            (table, "user"),
            "user: nothing says where the password is kept",
            'Write: password_file = "/etc/swardcast/mail" (or _env, _credential, _command).',
        )
