"""A digest's letters in a store: put there, given to a postman, and looked at afterwards."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from rude_server import HERE

from advisor.service.postman import Postman
from advisor.site.place import Mail
from advisor.store.database import Store
from advisor.store.outbox import Letter

HOME = "home"
ON = date(2027, 4, 11)
AT = datetime(2027, 4, 11, 10, 0, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
SOON = (AT + MINUTE / 2, AT + 3 * MINUTE / 2)
"""The first next try is a minute away, give or take a half."""

ROBIN, SAM = "robin@example.net", "sam@example.net"
PASSWORD = "hidden-word"
PLAN = '{"lawns": [{"name": "front", "actions": [{"id": "x", "verdict": "apply"}]}]}'


def bytes_for(reader: str) -> bytes:
    return (
        f"From: lawn@example.org\r\nTo: {reader}\r\nMessage-ID: <{reader.partition('@')[0]}.1"
        "@example.org>\r\n\r\nFeed the front.\r\n.\r\n..\r\n"
    ).encode()


def put(store: Store, *readers: str) -> None:
    """The digest as it stands before the first try: remembered, not sent, and queued for each."""
    store.remember_digest(HOME, ON, AT, PLAN, sent=False)
    for reader in readers or (ROBIN,):
        name = f"<{reader.partition('@')[0]}.1@example.org>"
        assert store.queue(HOME, ON, reader, "digest", name, bytes_for(reader), AT)


def postman(store: Store, port: int, security: str = "none", login: bool = False) -> Postman:
    known: dict[str, object] = {
        "from": "lawn@example.org",
        "to": [ROBIN, SAM],
        "server": HERE,
        "port": port,
        "security": security,
    }
    if login:
        known |= {"user": "lawn", "password_env": "LAWN_MAIL"}
    mail = Mail.model_validate(known)
    return Postman(HOME, mail, store, Path(store.path).parent, {"LAWN_MAIL": PASSWORD})


def letter(store: Store, reader: str = ROBIN) -> Letter:
    (found,) = (one for one in store.letters(HOME) if one.recipient == reader)
    return found


def counts(store: Store) -> bool:
    """Whether what the digest told to do counts as advised, and so as perhaps done."""
    return [advice.actions for advice in store.advised(HOME, AT + timedelta(days=30))] != []


def waits(store: Store, note: str, reader: str = ROBIN) -> None:
    """After a first try: ready, with a next try soon, a sentence, and the same bytes."""
    now = letter(store, reader)
    assert (now.state, now.tries) == ("ready", 1)
    assert now.next_try is not None and SOON[0] <= now.next_try <= SOON[1]
    assert note in now.note
    assert now.message == bytes_for(reader)
    assert store.letters_due(HOME, AT + MINUTE / 3) == []
    assert store.recall(HOME, "last_mail") is None


def is_dead(store: Store, note: str, reader: str = ROBIN) -> None:
    now = letter(store, reader)
    assert (now.state, now.tries, now.next_try) == ("dead", 1, None)
    assert re.search(note, now.note), now.note
    assert store.letters_due(HOME, AT + timedelta(days=1)) == []


def is_sent(store: Store, reader: str = ROBIN, tries: int = 1) -> None:
    now = letter(store, reader)
    assert (now.state, now.tries, now.next_try, now.note) == ("sent", tries, None, "")
