"""The digest as plain text: the mail's first part, and what the terminal shows.

Headings stand at the left edge and what belongs to them is set in, so that the order is plain to
the eye and to a screen reader; there are no tables, and no rules drawn of signs.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from advisor.digest import view as words
from advisor.digest.answering import Answering, without_link
from advisor.digest.parts import (
    AnswerView,
    DayView,
    DigestView,
    DoingView,
    Row,
    StandView,
    WaitView,
)
from advisor.digest.words import sentence, wrap
from advisor.language.words import tell
from advisor.plan.model import Plan


def render_text(plan: Plan, answering: Answering | None = None) -> str:
    """The digest of `plan`: lines of at most 72 columns, the verdict on the first of them.

    Only a single word (a web address) that is longer goes over. Ends in a line break.
    """
    digest = words.view(plan, answering)
    sections = [
        _opening(digest),
        _section(tell(words.HEARD_TITLE), (line for text in digest.heard for line in _item(text))),
        _ask(digest),
    ]
    sections += [list(_doing(part, digest.answer_to)) for part in digest.doing]
    sections += [
        _section("What waits", (line for wait in digest.waits for line in _wait(wait))),
        _section("How it stands", _stands(digest.stands)),
        _section("Also", _rows(digest.notes)),
        _section("Coming days", (line for day in digest.days for line in _day(day))),
        _section(
            "What comes next",
            (line for n in digest.next for line in _item(f"{n.lawn}: {n.text} {n.likely}")),
        ),
        _section("To buy", _rows(digest.shop)),
        _section("What could not be told", _rows(digest.unknown)),
        _section("To mend in your files", _problems(digest)),
        [
            *_small("Sources", digest.sources),
            *_small("Where the numbers come from", digest.origins),
        ],
        _closing(digest),
    ]
    return "\n\n".join("\n".join(section) for section in sections if section) + "\n"


def _opening(digest: DigestView) -> list[str]:
    lines = wrap(digest.verdict_line)
    if digest.cannot_tell:
        lines += wrap("It cannot be told what to do.")
    lines += wrap(digest.reason)
    for number in digest.numbers:
        lines += _item(number)
    for row in digest.hero:
        lines += wrap(f"{row.label}: {row.text}", "", "  ")
    return [*lines, *wrap(f"{digest.site}, {digest.day}")]


def _ask(digest: DigestView) -> list[str]:
    lines: list[str] = []
    for ask in digest.ask:
        lines += wrap(f"{ask.lawn}: {ask.text}" if ask.lawn else ask.text, "  ")
        for answer in ask.answers:
            lines += wrap(answer, "    ", "      ")
        lines += _answers(ask.answering, "", digest.answer_to)
    return [words.ASK_TITLE, *lines, *wrap(words.ASK_WHY, "  ")] if lines else []


def _answers(answers: tuple[AnswerView, ...], label: str, address: str) -> list[str]:
    if not answers:
        return []
    words = tuple(answer.label for answer in answers)
    return wrap(without_link(label, words, address, answers[0].token), "  ", "    ")


def _doing(part: DoingView, address: str) -> Iterator[str]:
    yield from wrap(part.title if part.lead else f"{part.verdict.upper()}: {part.title}")
    listed = not part.lead or part.verdict == "water"
    if listed:
        yield from _amounts(part)
    for row in part.facts:
        yield from wrap(f"{row.label}: {row.text}", "  ", "    ")
    for caution in part.cautions:
        yield from wrap(f"Caution: {caution}", "  ", "    ")
    for place, step in enumerate(part.steps, 1):
        yield from wrap(step, f"  {place}. ")
    if not listed:
        yield from _amounts(part)
    for one in part.answering:
        yield from _answers(one.answers, one.label, address)


def _amounts(part: DoingView) -> Iterator[str]:
    """What each lawn gets and why; for what leads the page, the lawns and days that follow."""
    for row in part.amounts:
        told = (f"{row.label}: {row.text}" if row.text else row.label, row.why)
        yield from wrap(" ".join(sentence(text) for text in told if text), "  ", "    ")
    for index, why in enumerate(part.why):
        yield from wrap(why if index else f"Why: {why}", "  ", "    ")
    for number in part.numbers:
        yield from _item(number)


def _wait(wait: WaitView) -> Iterator[str]:
    again = f"Look again {wait.again}." if wait.again else ""
    flag = f"Note: {sentence(wait.flag)}" if wait.flag else ""
    numbers = f"({'; '.join(wait.numbers)})" if wait.numbers else ""
    parts = (f"{wait.title}:", wait.why, numbers, again, flag)
    yield from _item(" ".join(part for part in parts if part))


def _stands(lawns: tuple[StandView, ...]) -> Iterator[str]:
    """A line or two for each lawn; what is the same for all of them is told once."""
    shared = [row for lawn in lawns[:1] for row in lawn.rows if all(row in o.rows for o in lawns)]
    if len(lawns) > 1 and shared:
        yield from _stand("Both lawns" if len(lawns) == 2 else "All lawns", shared)
    for lawn in lawns:
        own = [row for row in lawn.rows if len(lawns) == 1 or row not in shared]
        if own:
            yield from _stand(lawn.title, own)


def _stand(title: str, rows: Iterable[Row]) -> list[str]:
    told = " ".join(sentence(f"{row.label} {row.text}") for row in rows)
    return _item(f"{title}: {told}")


def _day(day: DayView) -> list[str]:
    rain = day.rain if day.chance == words.NONE else f"{day.rain} ({day.chance})"
    return wrap(f"{day.day}: {day.low} to {day.high}, rain {rain}, wind {day.wind}", "  ", "    ")


def _problems(digest: DigestView) -> Iterator[str]:
    for problem in digest.problems:
        for index, line in enumerate(problem):
            yield from wrap(line, "    " if index else "  - ", "    ")


def _closing(digest: DigestView) -> list[str]:
    small = (digest.weather, digest.defer, digest.attribution, digest.attribution_url,
             digest.licence_url)  # fmt: skip
    return [*wrap(digest.next_digest), *wrap(" ".join(small))]


def _section(title: str, lines: Iterable[str]) -> list[str]:
    found = list(lines)
    return [title, *found] if found else []


def _small(title: str, rows: Iterable[Row]) -> list[str]:
    """Small print: one paragraph, a sentence to a row; names stay as they are written."""
    told = " ".join(f"{row.label}: {_stopped(row.text)}" for row in rows)
    return wrap(f"{title}. {told}", "", "  ") if told else []


def _stopped(text: str) -> str:
    return text[:1] + sentence(text)[1:]


def _rows(rows: Iterable[Row]) -> list[str]:
    return [
        line
        for row in rows
        for line in _item(f"{row.label}: {row.text}" if row.label else row.text)
    ]


def _item(text: str, indent: str = "") -> list[str]:
    return wrap(text, f"{indent}  - ")
