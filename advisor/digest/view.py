"""The plan in words, ready to lay out: both parts of a mail say what stands here, in this order."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from advisor.digest import doing, standing, waiting
from advisor.digest.answering import Answering
from advisor.digest.clean import cleaned, safe_url
from advisor.digest.parts import AnswerView, AskView, DayView, DigestView, NextView, Row
from advisor.digest.saying import Saying
from advisor.digest.words import age_text, instant_text, sentence
from advisor.language.words import later, tell_many
from advisor.plan.model import Ask, Next, Plan, ToBuy, Verdict

ASK_TITLE = "First, please answer"
ASK_WHY = (
    "Until you answer, this counts as perhaps done, and whatever carries the same is held back. "
    "Write one of the lines into the journal."
)
HEARD_TITLE = later("What your answers were understood to say")
DEFER = "Where the label, your local rules or a licensed professional say otherwise, they hold."

NONE = "–"
"""Stands in a cell of a table where there is nothing to say."""


def view(plan: Plan, answering: Answering | None = None) -> DigestView:
    """The plan's digest in words. The texts of `plan` may hold anything: they are cleaned here.
    With `answering` each action and question has its answers by mail."""
    ids = [ask.id for ask in plan.ask]
    plan = cleaned(plan)
    say = Saying(plan)
    verdict = plan.headline.verdict
    claim, reason = _claim(say)
    parts = doing.doing(say, answering)
    return DigestView(
        subject=plan.headline.subject,
        site=plan.site.title,
        day=say.day(plan.on),
        language="en-US" if say.units == "us" else "en-GB",
        verdict=verdict.value,
        cannot_tell=plan.cannot_tell and not say.told("cannot tell"),
        verdict_line=f"{verdict.value.capitalize()}: {claim}",
        claim=claim[:1].upper() + claim[1:],
        reason=reason,
        numbers=waiting.at_top(say),
        hero=doing.hero(say),
        ask=tuple(
            replace(_ask(say, one), answering=_answers(answering, id_))
            for one, id_ in zip(plan.ask, ids, strict=True)
        ),
        doing=parts,
        waits=waiting.waits(say),
        stands=standing.stands(say),
        notes=standing.notes(say),
        days=tuple(
            DayView(say.day(d.day), d.low, d.high, d.rain, d.rain_chance or NONE, d.wind)
            for d in plan.days
        ),
        next=tuple(_next(say, one) for one in plan.next),
        shop=tuple(_shop(say, one) for one in plan.shop),
        unknown=tuple(_unknown(say)),
        problems=tuple(_problem(text) for text in plan.problems),
        sources=standing.sources(say),
        origins=standing.origins(say),
        weather=_weather(say),
        attribution=plan.weather.attribution,
        attribution_url=safe_url(plan.weather.attribution_url),
        licence_url=safe_url(plan.weather.licence_url),
        next_digest=(
            f"The next digest comes on {say.day(plan.next_digest)}."
            if plan.next_digest
            else "No date is set for the next digest."
        ),
        defer=DEFER if parts else "",
        heard=tuple(_heard(plan)),
        answer_to=answering.address if answering is not None else "",
    )


def _answers(answering: Answering | None, action_id: str) -> tuple[AnswerView, ...]:
    links = answering.links(action_id) if answering is not None else ()
    return tuple(AnswerView(link.label, link.url, link.token) for link in links)


def _heard(plan: Plan) -> Iterator[str]:
    """What came by mail since the last digest, and how many mails were left alone."""
    for one in plan.answers:
        yield sentence(one.text)
    if plan.unheard:
        yield tell_many(
            "{count} mail that bore no good token was left alone.",
            "{count} mails that bore no good token were left alone.",
            plan.unheard,
        )


def _claim(say: Saying) -> tuple[str, str]:
    """The headline without its verdict word: what, where and when; then why."""
    head = say.plan.headline
    text = _without_verdict(head.text, head.verdict)
    leading = say.leading()
    because = leading[0][1].because if leading else ""
    if because and head.verdict is not Verdict.WAIT and text.endswith(because):
        claim, reason = text.removesuffix(because).strip(), because
        if claim:
            # The headline's reason is that of one lawn; where another's differs, it says whose.
            if len({action.because for _, action in leading}) > 1:
                reason = f"{leading[0][0].title}: {reason}"
            return claim.removesuffix("."), reason
    claim, _, reason = text.partition(". ")
    return claim.removesuffix(".") if reason else claim, reason


def _without_verdict(text: str, verdict: Verdict) -> str:
    word = verdict.value
    rest = text[len(word) :].lstrip()
    if text[: len(word)].casefold() == word and rest[:1] in tuple(":-–—") and rest[1:].strip():
        return rest[1:].strip()
    return text


def _unknown(say: Saying) -> Iterator[Row]:
    """What could not be told, where no reason to wait says just that; what is missing for several
    tasks or lawns alike is said once."""
    reasons = [action.because for lawn in say.plan.lawns for action in lawn.actions]
    found: dict[str, list[str]] = {}
    for one in say.plan.unknown:
        if not say.told(one.why) and not any(one.why in because for because in reasons):
            found.setdefault(one.why, []).append(_about(say, one.lawn, one.what))
    for why, about in found.items():
        yield Row(" and ".join(about), sentence(why))


def _about(say: Saying, lawn: str | None, what: str) -> str:
    title = say.lawn_titles.get(lawn, lawn) if lawn else ""
    return f"{title}, {what}" if title and title not in what else what


def _ask(say: Saying, ask: Ask) -> AskView:
    if say.told(ask.text):
        return AskView(ask.lawn_title, waiting.AT_TOP, ask.answers)
    told = "" if say.day(ask.day) in ask.text else f" It was meant for {say.day(ask.day)}."
    if say.day(ask.advised_on) not in ask.text:
        told += f" The advice went out on {say.day(ask.advised_on)}."
    return AskView(
        "" if ask.lawn_title in ask.text else ask.lawn_title, ask.text + told, ask.answers
    )


def _next(say: Saying, one: Next) -> NextView:
    parts = [f"likely {say.day(one.likely)}" if one.likely else ""]
    first = one.earliest if one.earliest != one.likely else None
    if first and one.latest:
        parts.append(f"between {say.day(first)} and {say.day(one.latest)}")
    elif first:
        parts.append(f"not before {say.day(first)}")
    elif one.latest:
        parts.append(f"at the latest {say.day(one.latest)}")
    return NextView(
        one.lawn_title, sentence(one.text), sentence(", ".join(part for part in parts if part))
    )


def _shop(say: Saying, one: ToBuy) -> Row:
    place = say.places(one.lawn_titles)
    by = f"by {say.day(one.by)}" if one.by else ""
    return Row(", ".join(part for part in (one.title, place, by) if part), sentence(one.text))


def _weather(say: Saying) -> str:
    weather = say.plan.weather
    if weather.fetched_at is None:
        none = f"There is no forecast from {weather.provider}."
        return "" if say.told("there is no forecast") else none
    at = instant_text(weather.fetched_at, say.plan.site.zone, say.units, say.plan.on)
    known = weather.provider in weather.attribution
    text = f"Weather fetched {at}" if known else f"Weather from {weather.provider}, fetched {at}"
    if weather.age_hours is not None:
        text += f" ({age_text(weather.age_hours)} old)"
    if weather.forecast_to is not None:
        text += f"; the forecast reaches to {say.day(weather.forecast_to)}"
    if weather.stale and not say.told("too old to decide on"):
        text += ". That is too old to decide on"
    return text + "."


def _problem(text: str) -> tuple[str, ...]:
    """The lines of a problem; a line of carets says nothing once the text is no longer aligned."""
    return tuple(line for line in text.split("\n") if line.strip("^ "))
