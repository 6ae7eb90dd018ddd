"""Handing a digest to its readers: one envelope each, by Maildir or SMTP."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from advisor.digest.calendar import calendar
from advisor.digest.files import plan_json
from advisor.digest.html import render_html
from advisor.digest.mail import build_mail, mail_bytes
from advisor.digest.text import render_text
from advisor.plan.model import Plan
from advisor.post.outcome import Kind, Outcome
from advisor.service.decide import Decision
from advisor.service.places import place_key
from advisor.service.postman import deliver
from advisor.site.place import Mail, Site
from advisor.store.database import Store


@dataclass(frozen=True)
class Sent:
    """What became of a digest, by recipient."""

    outcomes: Mapping[str, Outcome]

    @property
    def reached(self) -> bool:
        """Whether anybody has it, or may have it: then what it advises counts as advised."""
        return any(o.kind in (Kind.DELIVERED, Kind.AMBIGUOUS) for o in self.outcomes.values())

    @property
    def complete(self) -> bool:
        return all(outcome.delivered for outcome in self.outcomes.values())

    @property
    def try_again(self) -> bool:
        return any(o.kind in (Kind.TRANSIENT, Kind.AMBIGUOUS) for o in self.outcomes.values())


@dataclass(frozen=True)
class Written:
    """A digest in its three forms, and its calendar (empty where there is nothing for one)."""

    text: str
    html: str
    mail: bytes
    calendar: bytes = b""


SENDER_WITHOUT_MAIL = "swardcast@localhost.invalid"


def write(plan: Plan, mail: Mail | None, recipient: str | None = None) -> Written:
    """The digest in each of its forms; a site without mail gets an address that nobody has."""
    text, html = render_text(plan), render_html(plan)
    sender = mail.sender if mail is not None else SENDER_WITHOUT_MAIL
    to = recipient or (mail.to[0] if mail is not None else SENDER_WITHOUT_MAIL)
    entries = calendar(plan, sender=sender)
    message = build_mail(
        plan, sender=sender, recipient=to, text=text, html=html, calendar=entries
    )  # fmt: skip
    return Written(text, html, mail_bytes(message), entries)


def send(
    decision: Decision,
    site: Site,
    mail: Mail,
    store: Store,
    state: Path,
    environment: Mapping[str, str],
) -> Sent:
    """Send a digest to each of its readers, and remember it as sent where it reached one."""
    document = plan_json(decision.plan)

    def remember(*, sent: bool) -> None:
        plan = decision.plan
        store.remember_digest(site.id, plan.on, plan.decided_at, document, sent=sent)

    def accepted() -> None:
        remember(sent=True)

    # Where nothing can be written down nothing is sent: what was advised must be known later.
    remember(sent=False)
    outcomes: dict[str, Outcome] = {}
    for recipient in mail.to:
        message = write(decision.plan, mail, recipient).mail
        outcomes[recipient] = deliver(message, recipient, mail, state, environment, accepted)
    sent = Sent(outcomes)
    remember(sent=sent.reached)
    if decision.run_id is not None:
        store.mark_used(decision.run_id)
        store.mark_ensemble_used(place_key(site), decision.plan.decided_at)
    return sent
