"""Handing a digest to its readers: one envelope each, by Maildir or SMTP."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from advisor.digest.answering import Answering
from advisor.digest.calendar import calendar
from advisor.digest.files import plan_json
from advisor.digest.html import render_html
from advisor.digest.illustrated import inline, standing_alone
from advisor.digest.mail import TOTAL_BUDGET, build_mail, mail_bytes
from advisor.digest.text import render_text
from advisor.plan.model import Plan
from advisor.post.outcome import Kind, Outcome
from advisor.service.answerable import answering_for
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
    """A digest as text, as a page that stands alone and as a mail, and its calendar (empty where
    there is nothing for one)."""

    text: str
    html: str
    mail: bytes
    calendar: bytes = b""


SENDER_WITHOUT_MAIL = "swardcast@localhost.invalid"


def write(
    plan: Plan, mail: Mail | None, recipient: str | None = None, answering: Answering | None = None
) -> Written:
    """The digest in each of its forms; a site without mail gets an address that nobody has. With
    `answering` it can be answered by mail. A mail that would be too large goes without pictures."""
    written = _write(plan, mail, recipient, answering)
    if len(written.mail) <= TOTAL_BUDGET or not plan.curves:
        return written
    # The words say what the pictures show.
    return _write(plan.model_copy(update={"curves": ()}), mail, recipient, answering)


def _write(
    plan: Plan, mail: Mail | None, recipient: str | None, answering: Answering | None
) -> Written:
    text, html = render_text(plan, answering), render_html(plan, answering)
    pictures = inline(plan)
    sender = mail.sender if mail is not None else SENDER_WITHOUT_MAIL
    to = recipient or (mail.to[0] if mail is not None else SENDER_WITHOUT_MAIL)
    entries = calendar(plan, sender=sender)
    message = build_mail(
        plan, sender=sender, recipient=to, text=text, html=html, calendar=entries,
        pictures=pictures, reply_to=answering.address if answering is not None else None,
    )  # fmt: skip
    page = standing_alone(html, plan, pictures)
    return Written(text, page, mail_bytes(message), entries)


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
    answers, _ = answering_for(site, decision.plan, state)
    outcomes: dict[str, Outcome] = {}
    for recipient in mail.to:
        message = write(decision.plan, mail, recipient, answers).mail
        outcomes[recipient] = deliver(message, recipient, mail, state, environment, accepted)
    sent = Sent(outcomes)
    remember(sent=sent.reached)
    if sent.reached:
        store.tell_heard(site.id, decision.plan.on)
    if decision.run_id is not None:
        store.mark_used(decision.run_id)
        store.mark_ensemble_used(place_key(site), decision.plan.decided_at)
    return sent
