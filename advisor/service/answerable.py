"""What a digest offers to be answered, and what an answer is about: tokens made and read again."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from advisor.digest.answering import Answering, answering
from advisor.plan.announced import announced
from advisor.plan.model import Plan
from advisor.plan.words import TASK_SHORT, TASK_TITLES
from advisor.post.secrets import SecretError, own_key
from advisor.service.decide import sent_before
from advisor.site.answer_scan import Names, plain
from advisor.site.answer_words import About
from advisor.site.events import Advised
from advisor.site.place import Site
from advisor.site.shelf import Shelf
from advisor.site.tokens import name_of, sign
from advisor.store.database import Store

KEY_FILE = "answers.key"
"""The key that signs tokens, in a site's state folder. Its loss makes older links invalid."""


def answering_for(site: Site, plan: Plan, state: Path) -> tuple[Answering | None, str]:
    """How a plan that is about to be mailed can be answered; None where the site names no mailbox,
    or there is no key: then a sentence says why."""
    if site.answers is None or site.mail is None:
        return None, ""
    try:
        key = own_key(state / KEY_FILE)
    except SecretError as error:
        return None, f"It cannot be answered by mail: {error}"
    issued = plan.decided_at.astimezone(site.place.zone_info).date()
    address = site.answers.address or site.mail.sender
    return answering(plan, address, lambda id_: sign(key, site.id, id_, issued)), ""


def task_names() -> Names:
    """The words for tasks that an answer may use."""
    names = {}
    for task, title in TASK_TITLES.items():
        for words in (task, title, TASK_SHORT[task]):
            names[plain(words)] = ("task", task)
    return names


def known_advice(store: Store, site: Site, shelf: Shelf, now: datetime) -> dict[bytes, About]:
    """All advice that was sent before a moment, by the name that a token gives it."""
    sent = sent_before(store, site, now)
    stands = {advice.id: advice for advice in announced(sent)}
    every: dict[str, Advised] = {}
    for digest in sent:
        for advice in announced([digest]):
            every.setdefault(advice.id, stands.get(advice.id, advice))
    titles = {lawn.name: lawn.shown for lawn in site.lawns}
    found = {}
    for advice in every.values():
        later = [
            other.issued
            for other in every.values()
            if (other.lawn, other.task) == (advice.lawn, advice.task)
            and other.issued > advice.issued
        ]
        product = shelf.get(advice.product) if advice.product else None
        found[name_of(advice.id)] = About(
            advice,
            titles.get(advice.lawn, advice.lawn),
            TASK_SHORT.get(advice.task, advice.task),
            product.shown if product is not None else "",
            product is not None and product.measured_in == "L",
            min(later, default=None),
            advice.id in stands,
        )
    return found
