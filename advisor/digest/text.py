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
    DigestView,
    DoingView,
    Figure,
    Row,
    StandView,
    WaitView,
)
from advisor.digest.words import sentence, stopped, wrap
from advisor.language.speaking import speaking
from advisor.language.words import tell
from advisor.plan.model import Plan


def render_text(plan: Plan, answering: Answering | None = None) -> str:
    """The digest of `plan`: lines of at most 72 columns, the verdict on the first of them.

    Only a single word (a web address) that is longer goes over. Ends in a line break.
    """
    with speaking(plan.site.language):
        sections = list(_sections(words.view(plan, answering)))
    return "\n\n".join("\n".join(section) for section in sections if section) + "\n"


def _sections(digest: DigestView) -> Iterator[list[str]]:
    yield _opening(digest)
    yield _ask(digest)
    yield _section(tell(words.HEARD_TITLE), (line for text in digest.heard for line in _item(text)))
    for part in digest.doing:
        yield list(_doing(part, digest.answer_to))
    yield _section(tell("Coming days"), _days(digest))
    yield _section(tell("The lawns"), (line for lawn in digest.stands for line in _stand(lawn)))
    yield _section(
        digest.pictured,
        (line for p in digest.pictures for line in _item(f"{p.title}. {p.finding}")),
    )
    yield _section(tell("What waits"), (line for wait in digest.waits for line in _wait(wait)))
    yield _section(
        tell("What comes next"),
        (line for n in digest.next for line in _item(f"{n.lawn}: {n.text}. {n.likely}")),
    )
    yield _section(tell("To buy"), _rows(digest.shop))
    yield _section(tell("Also"), _rows(digest.notes))
    yield _section(tell("What could not be told"), _rows(digest.unknown))
    yield _section(tell("To mend in your files"), _problems(digest))
    yield _closing(digest)


def _opening(digest: DigestView) -> list[str]:
    lines = wrap(digest.verdict_line)
    for row in digest.hero:
        lines += wrap(f"{row.label}: {row.text}", "", "  ")
    lines += wrap(digest.reason)
    for figure in digest.numbers:
        lines += _item(_figure(figure))
    return [*lines, *wrap(f"{digest.site}, {digest.day}")]


def _figure(figure: Figure) -> str:
    told = f"{figure.about}: {figure.value}"
    return f"{told}, {figure.limit}" if figure.limit else told


def _ask(digest: DigestView) -> list[str]:
    lines: list[str] = []
    for ask in digest.ask:
        lines += wrap(f"{ask.lawn}: {ask.text}" if ask.lawn else ask.text, "  ")
        for answer in ask.answers:
            lines += wrap(answer, "    ", "      ")
        lines += _answers(ask.answering, "", digest.answer_to)
    if not lines:
        return []
    return [*wrap(tell(words.ASK_TITLE)), *lines, *wrap(digest.ask_why, "  ")]


def _answers(answers: tuple[AnswerView, ...], label: str, address: str) -> list[str]:
    if not answers:
        return []
    words = tuple(answer.label for answer in answers)
    return wrap(without_link(label, words, address, answers[0].token), "  ", "    ")


def _doing(part: DoingView, address: str) -> Iterator[str]:
    title = part.title if part.lead else f"{part.verdict_word.upper()}: {part.title}"
    yield from wrap(title)
    listed = not part.lead or part.verdict == "water"
    if listed:
        yield from _amounts(part)
    if part.go:
        yield from wrap(f"{tell('That morning')}: {part.go}", "  ", "    ")
    for caution in part.cautions:
        yield from wrap(f"{tell('Caution')}: {caution}", "  ", "    ")
    for place, step in enumerate(part.steps, 1):
        yield from wrap(step, f"  {place}. ")
    if not listed:
        yield from _amounts(part)
    for one in part.answering:
        yield from _answers(one.answers, one.label, address)
    for row in part.facts:
        yield from wrap(f"{row.label}: {row.text}", "  ", "    ")


def _amounts(part: DoingView) -> Iterator[str]:
    """What each lawn gets and why; for what leads the page, the lawns and days that follow."""
    for row in part.amounts:
        told = (f"{row.label}: {row.text}" if row.text else row.label, row.why)
        yield from wrap(" ".join(sentence(text) for text in told if text), "  ", "    ")
    for index, why in enumerate(part.why):
        yield from wrap(why if index else f"{tell('Why')}: {why}", "  ", "    ")
    for number in part.numbers:
        yield from _item(number)


def _wait(wait: WaitView) -> Iterator[str]:
    again = tell("Look again {day}.", day=wait.again) if wait.again else ""
    flag = f"{tell('Note')}: {sentence(wait.flag)}" if wait.flag else ""
    parts = (f"{wait.title}:", wait.why, again, flag)
    yield from _item(" ".join(part for part in parts if part))


def _stand(lawn: StandView) -> Iterator[str]:
    """A lawn's two lines, as far as they fit."""
    yield from _item(f"{lawn.title}: {lawn.state}")
    if lawn.rows:
        yield from wrap("; ".join(f"{row.label} {row.text}" for row in lawn.rows) + ".", "    ")


def _days(digest: DigestView) -> Iterator[str]:
    for day in digest.strip.days:
        yield from wrap(f"{day.day}: {day.told}", "  ", "    ")
    if digest.strip.note:
        yield from wrap(digest.strip.note, "  ")


def _problems(digest: DigestView) -> Iterator[str]:
    for problem in digest.problems:
        for index, line in enumerate(problem):
            yield from wrap(line, "    " if index else "  - ", "    ")


def _closing(digest: DigestView) -> list[str]:
    small = (digest.weather, digest.defer, digest.attribution, digest.attribution_url,
             digest.licence_url)  # fmt: skip
    return [
        *wrap(digest.next_digest),
        *_small(tell("Words"), digest.words),
        *_small(tell("By these rules"), digest.sources),
        *wrap(" ".join(text for text in small if text)),
    ]


def _small(title: str, rows: Iterable[Row]) -> list[str]:
    """Small print: one paragraph, a sentence to a row; names stay as they are written."""
    told = " ".join(f"{row.label}: {stopped(row.text)}" for row in rows)
    return wrap(f"{title}. {told}") if told else []


def _section(title: str, lines: Iterable[str]) -> list[str]:
    found = list(lines)
    return [title, *found] if found else []


def _rows(rows: Iterable[Row]) -> list[str]:
    return [
        line
        for row in rows
        for line in _item(f"{row.label}: {row.text}" if row.label else row.text)
    ]


def _item(text: str, indent: str = "") -> list[str]:
    return wrap(text, f"{indent}  - ")
