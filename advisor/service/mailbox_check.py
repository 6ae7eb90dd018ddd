"""Whether the mailbox of answers can be read: logged in, its folder found, and nothing more."""

from __future__ import annotations

from collections.abc import Mapping

from advisor.post.imap import InboxError
from advisor.post.inbox import opened
from advisor.post.secrets import SecretError
from advisor.service.answers import imap_config
from advisor.service.health import Finding, State
from advisor.site.mailbox import Answers

SECONDS = 20.0
"""Seconds to wait for the mail server: somebody sits and waits."""


def mailbox_tried(table: Answers, environment: Mapping[str, str]) -> Finding:
    """Log in and select the folder; no mail is looked at."""
    name = table.password_credential
    if name and not environment.get("CREDENTIALS_DIRECTORY"):
        return Finding(
            "Answers",
            State.WARNING,
            f"The mailbox was not tried: only the service is given the credential “{name}”.",
            f"Try it as the service does: `systemd-run --pty -p LoadCredential={name}:FILE"
            " swardcast doctor SITE`.",
        )
    try:
        with opened(imap_config(table, environment), seconds=SECONDS):
            pass
    except SecretError as error:
        return Finding(
            "Answers",
            State.FAULT,
            str(error),
            "[answers] in site.toml says where it is taken from.",
        )
    except InboxError as error:
        return Finding(
            "Answers",
            State.FAULT,
            str(error),
            "Look at [answers] in site.toml, the password, and the server; digests go out without"
            " it.",
        )
    return Finding(
        "Answers",
        State.OK,
        f"{table.server}, port {table.port_used}, let {table.user} in, and the folder"
        f" {table.folder} is there. Nothing was read.",
    )
