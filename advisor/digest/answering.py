"""How a digest is answered by mail: links that write the mail, tokens that say what it is about.

RFC 6068 (mailto). The token stands in the subject, which a person seldom changes, and once more
below the mark of a signature (RFC 3676), where it is no word of the writer's.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from urllib.parse import quote

from advisor.digest.clean import LONGEST_NAME, clean_text
from advisor.language.words import tell, tell_as
from advisor.plan.model import Plan, Verdict
from advisor.plan.words import task_short
from advisor.site.words import WATERING


@dataclass(frozen=True)
class Link:
    """One answer: the word for people, the address that writes the mail, and the token in it."""

    label: str
    url: str
    token: str


@dataclass(frozen=True)
class Asked:
    """What can be answered: its token, and what it is about in words."""

    token: str
    task: str
    lawn_title: str


@dataclass(frozen=True)
class Answering:
    """Where answers are written to, and what can be answered, by the id of an action."""

    address: str
    asked: Mapping[str, Asked] = field(default_factory=dict)

    def links(self, action_id: str) -> tuple[Link, ...]:
        """The answers to an action or to a question about one: done, skipped, not yet; of water
        done alone. None where nothing is known of it."""
        asked = self.asked.get(action_id)
        if asked is None:
            return ()
        words = [tell_as("answer", "done")]
        if asked.task != WATERING:
            words += [tell_as("answer", "skipped"), tell_as("answer", "not yet")]
        return tuple(Link(word, self._url(word, asked), asked.token) for word in words)

    def _url(self, word: str, asked: Asked) -> str:
        task = task_short(asked.task)
        subject = tell(
            "{answer}: {task}, {lawn} [{token}]",
            answer=word, task=task, lawn=asked.lawn_title, token=asked.token,
        )  # fmt: skip
        # Below the mark of a signature: whoever deletes or keeps it, it is no word of theirs.
        body = f"{word}\r\n\r\n-- \r\n{hint(asked.task)}\r\n{asked.token}\r\n"
        return (
            f"mailto:{quote(self.address, safe='@')}?subject={quote(subject, safe='')}"
            f"&body={quote(body, safe='')}"
        )


def hint(task: str) -> str:
    """What may be written beside the word, as a sentence."""
    if task == WATERING:
        return tell(
            "You may also write how much or when, as in “done 0.5 in yesterday”; a line of its own"
            " may say “rain 0.42 in”, or “undo”."
        )
    return tell(
        "You may also write how much or when, as in “done 5.4 lb” or “done yesterday”; a line of"
        " its own may say “rain 0.42 in”, “soil 54 F at 2 in”, or “undo”."
    )


def without_link(label: str, words: tuple[str, ...], address: str, token: str) -> str:
    """How to answer without a link: the word and the token, in a mail of one's own or a reply.
    `label` says what is answered, where several things can be."""
    told = {"words": " / ".join(words), "address": address, "token": token, "label": label}
    if label:
        return tell("Answer, {label}: write {words} to {address}, with this: {token}", **told)
    return tell("Answer: write {words} to {address}, with this: {token}", **told)


def answering(plan: Plan, address: str, sign: Callable[[str], str]) -> Answering:
    """What of a plan can be answered: each action that is not a wait, and each question. `sign`
    makes the token of an action's id."""
    found: dict[str, Asked] = {}

    def add(action_id: str, task: str, lawn_title: str) -> None:
        if action_id and action_id not in found:
            title = clean_text(lawn_title, LONGEST_NAME)
            found[action_id] = Asked(sign(action_id), task, title)

    for lawn in plan.lawns:
        for action in lawn.actions:
            if action.verdict is not Verdict.WAIT:
                add(action.id, action.task, lawn.title)
    for ask in plan.ask:
        add(ask.id, ask.task, ask.lawn_title)
    return Answering(address, found)
