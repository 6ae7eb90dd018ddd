"""Handing mails over, one envelope each, and writing down what became of them.

Light on purpose: no plan, no arrays, no templates. The bytes were made before.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from time import monotonic

from advisor.post import maildir, smtp
from advisor.post.outcome import Kind, Outcome
from advisor.post.secrets import SecretError, read_password
from advisor.service.schedule import next_try
from advisor.site.mailbox import Login
from advisor.site.place import Mail
from advisor.store.database import Store
from advisor.store.outbox import Letter

PERHAPS = "It may have arrived at an earlier try."
"""Kept at the head of a mail's note once a try of it was ambiguous, or was cut off."""

TIME_FOR_ALL = 240.0
"""Seconds in which a turn begins new tries; a slow server may hold each for minutes."""

LAST_WAIT = timedelta(hours=1)


@dataclass(frozen=True)
class Postman:
    """Delivers what is due of one site's outbox. `state` is where a relative Maildir lies."""

    site_id: str
    mail: Mail
    store: Store
    state: Path
    environment: Mapping[str, str]

    def deliver_due(self, now: datetime) -> list[str]:
        """Try every mail whose time has come, once, as long as there is time for it. Returns a
        sentence on each."""
        said = []
        shut: Outcome | None = None
        begun = monotonic()
        for letter in self.store.letters_due(self.site_id, now):
            if monotonic() - begun > TIME_FOR_ALL:
                break  # a slow server; who has waited longest comes first at the next turn
            # A server that refused the password once is not tried again for the next reader.
            outcome = shut or self._try(letter, now)
            self._note(letter, outcome, now + timedelta(seconds=monotonic() - begun))
            said.append(f"{letter.purpose} of {letter.on}: {outcome.sentence}")
            shut = outcome if outcome.at_the_door else None
        return said

    def _try(self, letter: Letter, now: datetime) -> Outcome:
        if letter.note.startswith(PERHAPS):
            self.store.mark_sent(self.site_id, letter.on, letter.created)
        # Written first: a try that is killed, or ends where nothing can be written, may have
        # arrived, and must not be made again and again.
        again = next_try(letter.created, letter.tries + 1, now, letter.message_id)
        if not self.store.letter_begun(letter.id, now, again or now + LAST_WAIT, PERHAPS):
            return Outcome(Kind.TRANSIENT, "It is no longer waiting.")
        accepted = self._on_accepted(letter, now)
        outcome = deliver(
            letter.message, letter.recipient, self.mail, self.state, self.environment, accepted
        )
        if outcome.delivered and self.mail.maildir is not None:
            accepted()
        return outcome

    def _note(self, letter: Letter, outcome: Outcome, now: datetime) -> None:
        if outcome.delivered:
            return
        if outcome.kind is Kind.PERMANENT:
            sentence = outcome.sentence
            if letter.note.startswith(PERHAPS):
                sentence = f"{letter.note} Then: {sentence}"
            self.store.letter_failed(letter.id, now, None, sentence)
        else:
            if outcome.kind is Kind.AMBIGUOUS:
                # It may have arrived, so what it advises may be done.
                self.store.mark_sent(self.site_id, letter.on, letter.created)
            again = next_try(letter.created, letter.tries + 1, now, letter.message_id)
            perhaps = outcome.kind is Kind.AMBIGUOUS or letter.note.startswith(PERHAPS)
            note = f"{PERHAPS} {outcome.sentence}" if perhaps else outcome.sentence
            self.store.letter_failed(letter.id, now, again, note)

    def _on_accepted(self, letter: Letter, now: datetime) -> Callable[[], None]:
        """What is written down right after a server took the mail, before anything else is said."""

        def accepted() -> None:
            self.store.mark_sent(self.site_id, letter.on, letter.created)
            self.store.letter_sent(letter.id, now)
            self.store.remember(self.site_id, "last_mail", now.isoformat())

        return accepted


def deliver(
    message: bytes,
    recipient: str,
    mail: Mail,
    state: Path,
    environment: Mapping[str, str],
    accepted: Callable[[], None],
) -> Outcome:
    """One try to hand a mail to one reader; `accepted` is called right after a server took it."""
    if mail.maildir is not None:
        # A relative Maildir lies in the state folder: the site's folder is only ever read.
        return maildir.deliver(state / mail.maildir, message)
    assert mail.server is not None  # checked when the site was read
    try:
        password = mail_password(mail, environment)
    except SecretError as error:
        return Outcome(Kind.PERMANENT, str(error))
    config = smtp.SmtpConfig(mail.server, mail.port_used, mail.security, mail.user, password)
    return smtp.send(message, mail.sender, recipient, config, accepted=accepted)


def mail_password(mail: Login, environment: Mapping[str, str]) -> str | None:
    """The password of a mail server, from where the owner keeps it; None where it needs none.

    Raises SecretError.
    """
    named = (
        mail.password_credential, mail.password_file, mail.password_command, mail.password_env
    )  # fmt: skip
    if not any(named):
        return None
    return read_password(
        credential=mail.password_credential,
        file=mail.password_file,
        command=mail.password_command,
        env=mail.password_env,
        environ=environment,
    )
