"""The plan in words, ready to lay out: both parts of a mail say what stands here, in this order."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from advisor.digest import doing, figures, glossary, illustrated, standing, waiting
from advisor.digest.answering import Answering
from advisor.digest.clean import cleaned, safe_url
from advisor.digest.parts import (
    AnswerView,
    AskView,
    DigestView,
    NextView,
    PictureView,
    Row,
    texts,
)
from advisor.digest.saying import Saying
from advisor.digest.strip import strip
from advisor.digest.words import age_text, instant_text, sentence
from advisor.language.dates import language_tag
from advisor.language.sentences import capitalised
from advisor.language.speaking import speaking
from advisor.language.words import later, tell, tell_many
from advisor.plan.model import Ask, Next, Plan, ToBuy
from advisor.plan.words import verdict_text

ASK_TITLE = later("First, please answer")
ASK_WHY = later(
    "Until you answer, this counts as perhaps done, and whatever carries the same is held back. "
    "Write one of the lines into the journal."
)
ASK_BY_MAIL = later(
    "Until you answer, this counts as perhaps done, and whatever carries the same is held back. "
    "Answer by mail, or write one of the lines into the journal."
)
HEARD_TITLE = later("What your answers were understood to say")
DEFER = later(
    "Where the label, your local rules or a licensed professional say otherwise, they hold."
)

LONGEST_PREHEADER = 120
"""Characters that a list of mails may show behind a subject."""


def view(plan: Plan, answering: Answering | None = None) -> DigestView:
    """The plan's digest in words. The texts of `plan` may hold anything: they are cleaned here.
    With `answering` each action and question has its answers by mail."""
    with speaking(plan.site.language):
        return _view(Saying(cleaned(plan)), answering, [ask.id for ask in plan.ask])


def _view(say: Saying, answering: Answering | None, asked: list[str]) -> DigestView:
    """`asked` are the ids of the questions, as they were before they were cleaned."""
    plan, head = say.plan, say.plan.headline
    verdict = verdict_text(head.verdict)
    hero, drawn = doing.hero(say), illustrated.shown(plan)
    reason = head.because
    parts = doing.doing(say, answering)
    digest = DigestView(
        subject=head.subject,
        preheader=_preheader(hero, reason),
        site=plan.site.title,
        day=say.day(plan.on),
        language=language_tag(say.units),
        verdict=head.verdict.value,
        verdict_word=verdict,
        verdict_line=tell("{verdict}: {claim}", verdict=verdict, claim=head.claim),
        claim=capitalised(head.claim),
        reason=reason,
        numbers=figures.carrying(say),
        hero=hero,
        ask=tuple(
            replace(_ask(say, one), answering=_answers(answering, id_))
            for one, id_ in zip(plan.ask, asked, strict=True)
        ),
        ask_why=tell(ASK_WHY if answering is None else ASK_BY_MAIL) if plan.ask else "",
        doing=parts,
        waits=waiting.waits(say),
        stands=standing.stands(say),
        notes=standing.notes(say),
        strip=strip(say),
        pictures=tuple(PictureView(one.name, one.title, one.finding) for one in drawn),
        pictured=_pictured(plan) if drawn else "",
        next=tuple(_next(say, one) for one in plan.next),
        shop=tuple(_shop(say, one) for one in plan.shop),
        unknown=tuple(_unknown(say)),
        problems=tuple(_problem(text) for text in plan.problems),
        sources=standing.sources(say),
        words=(),
        weather=_weather(say),
        attribution=plan.weather.attribution,
        attribution_url=safe_url(plan.weather.attribution_url),
        licence_url=safe_url(plan.weather.licence_url),
        next_digest=(
            tell("The next digest comes on {day}.", day=say.day(plan.next_digest))
            if plan.next_digest
            else tell("No date is set for the next digest.")
        ),
        defer=tell(DEFER) if parts else "",
        heard=tuple(_heard(plan)),
        answer_to=answering.address if answering is not None else "",
    )
    # Sources name publications, and a picture's words are its own.
    told = replace(digest, sources=(), pictures=())
    return replace(digest, words=glossary.explained(texts(told)))


def _pictured(plan: Plan) -> str:
    """What stands over the pictures: whose they are, where there are several lawns."""
    lawn = illustrated.pictured_lawn(plan)
    if lawn is None or len(plan.lawns) == 1:
        return tell("In pictures")
    return tell("{lawn} in pictures", lawn=lawn.title)


def _answers(answering: Answering | None, action_id: str) -> tuple[AnswerView, ...]:
    links = answering.links(action_id) if answering is not None else ()
    return tuple(AnswerView(link.label, link.url, link.token) for link in links)


def _heard(plan: Plan) -> Iterator[str]:
    """What came by mail since the last digest, and how many mails were left alone."""
    for one in plan.answers:
        yield sentence(one.text)
    if plan.unheard:
        yield tell_many(
            "{count} answer could not be taken and was left alone: its token was forged, too old or"
            " of another site, or the mail was too large or broken.",
            "{count} answers could not be taken and were left alone: their tokens were forged, too"
            " old or of another site, or the mails were too large or broken.",
            plan.unheard,
        )


def _preheader(hero: tuple[Row, ...], reason: str) -> str:
    """What to have in hand, or why there is nothing."""
    told = "; ".join(f"{row.label}: {row.text}" for row in hero) or reason
    return told if len(told) <= LONGEST_PREHEADER else told[: LONGEST_PREHEADER - 1].rstrip() + "…"


def _unknown(say: Saying) -> Iterator[Row]:
    """What could not be told, where no reason to wait says just that; what is missing for several
    tasks or lawns alike is said once."""
    reasons = [action.because for lawn in say.plan.lawns for action in lawn.actions]
    found: dict[str, list[str]] = {}
    for one in say.plan.unknown:
        if not say.told(one.why) and not any(one.why in because for because in reasons):
            found.setdefault(one.why, []).append(_about(say, one.lawn, one.what))
    for why, about in found.items():
        what = ""
        for part in about:
            what = tell("{some} and {last}", some=what, last=part) if what else part
        yield Row(what, sentence(why))


def _about(say: Saying, lawn: str | None, what: str) -> str:
    title = say.lawn_titles.get(lawn, lawn) if lawn else ""
    return f"{title}, {what}" if title and title not in what else what


def _ask(say: Saying, ask: Ask) -> AskView:
    if say.told(ask.text):
        return AskView(ask.lawn_title, tell(waiting.AT_TOP), ask.answers)
    told = [ask.text]
    if say.day(ask.day) not in ask.text:
        told.append(tell("It was meant for {day}.", day=say.day(ask.day)))
    if say.day(ask.advised_on) not in ask.text:
        told.append(tell("The advice went out on {day}.", day=say.day(ask.advised_on)))
    return AskView(
        "" if ask.lawn_title in ask.text else ask.lawn_title, " ".join(told), ask.answers
    )


def _next(say: Saying, one: Next) -> NextView:
    parts = [tell("likely {day}", day=say.day(one.likely)) if one.likely else ""]
    first = one.earliest if one.earliest != one.likely else None
    if first and one.latest:
        parts.append(tell("between {first} and {last}", first=say.day(first),
                          last=say.day(one.latest)))  # fmt: skip
    elif first:
        parts.append(tell("not before {day}", day=say.day(first)))
    elif one.latest:
        parts.append(tell("at the latest {day}", day=say.day(one.latest)))
    return NextView(
        one.lawn_title, one.text.rstrip("."), sentence(", ".join(part for part in parts if part))
    )


def _shop(say: Saying, one: ToBuy) -> Row:
    place = say.places(one.lawn_titles)
    by = tell("by {day}", day=say.day(one.by)) if one.by else ""
    return Row(", ".join(part for part in (one.title, place, by) if part), sentence(one.text))


def _weather(say: Saying) -> str:
    """When the forecast was fetched, and how far it reaches. That there is none, or that it is too
    old, is the headline."""
    weather = say.plan.weather
    if weather.fetched_at is None:
        return ""
    at = instant_text(weather.fetched_at, say.plan.site.zone, say.units, say.plan.on)
    if weather.provider in weather.attribution:
        told = [tell("Weather fetched {time}", time=at)]
    else:
        told = [
            tell(
                "Weather from {provider}, fetched {time}", provider=tell(weather.provider), time=at
            )
        ]
    if weather.age_hours is not None:
        told[0] = tell("{told} ({age} old)", told=told[0], age=age_text(weather.age_hours))
    if weather.forecast_to is not None:
        told.append(tell("the forecast reaches to {day}", day=say.day(weather.forecast_to)))
    return "; ".join(told) + "."


def _problem(text: str) -> tuple[str, ...]:
    """The lines of a problem; a line of carets says nothing once the text is no longer aligned."""
    return tuple(line for line in text.split("\n") if line.strip("^ "))
