"""The digest as plain text: the mail's first part, and what the terminal shows.

Headings stand at the left edge and what belongs to them is set in, so that the order is plain to
the eye and to a screen reader; there are no tables, and no rules drawn of signs.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from advisor.digest import view as words
from advisor.digest.parts import ActionView, DayView, DigestView, EvidenceView, LawnView, Row
from advisor.digest.words import sentence, wrap
from advisor.plan.model import Plan


def render_text(plan: Plan) -> str:
    """The digest of `plan`: lines of at most 72 columns, the verdict on the first of them.

    Only a single word (a web address) that is longer goes over. Ends in a line break.
    """
    digest = words.view(plan)
    sections = [_opening(digest), _ask(digest)]
    sections += [_lawn(lawn) for lawn in digest.lawns]
    sections += [
        _section("Coming days", (line for day in digest.days for line in _day(day))),
        _section(
            "What comes next",
            (line for n in digest.next for line in _item(f"{n.lawn}: {n.text} {n.likely}")),
        ),
        _section("What could not be told", _rows_as_items(digest.unknown)),
        _section("To mend in your files", _problems(digest)),
        _closing(digest),
    ]
    return "\n\n".join("\n".join(section) for section in sections if section) + "\n"


def _opening(digest: DigestView) -> list[str]:
    lines = wrap(digest.headline)
    if digest.cannot_tell:
        lines += wrap("It cannot be told what to do.")
    return [*lines, "", *wrap(f"{digest.site}, {digest.day}")]


def _ask(digest: DigestView) -> list[str]:
    lines: list[str] = []
    for ask in digest.ask:
        lines += wrap(f"{ask.lawn}: {ask.text}", "  ")
        for answer in ask.answers:
            lines += wrap(answer, "    ", "      ")
    return [words.ASK_TITLE, *lines, *wrap(words.ASK_WHY, "  ")] if lines else []


def _lawn(lawn: LawnView) -> list[str]:
    lines = [*wrap(lawn.title), *wrap(lawn.about, "  ")]
    for action in lawn.actions:
        lines += ["", *_action(action)]
    if lawn.conditions:
        lines += ["", "  How it stands", *_rows_as_items(lawn.conditions, "  ")]
    if lawn.notes:
        lines += ["", "  Also", *(line for note in lawn.notes for line in _item(note, "  "))]
    return lines


def _action(action: ActionView) -> Iterator[str]:
    yield from wrap(f"{action.verdict.upper()}: {action.title}", "  ", "    ")
    if action.flag:
        yield from _labelled("Note", action.flag)
    for row in action.facts:
        yield from _labelled(row.label, row.text)
    for caution in action.cautions:
        yield from _labelled("Caution", caution)
    for number, step in enumerate(action.steps, 1):
        yield from wrap(step, f"    {number}. ")
    for index, why in enumerate(action.why):
        yield from wrap(why if index else f"Why: {why}", "    ", "      ")
    for evidence in action.evidence:
        yield from _item(_evidence(evidence), "    ")
    if action.rule:
        yield from _labelled("Rule", action.rule)


def _evidence(one: EvidenceView) -> str:
    found = f"found {one.value}" if one.value != "not known" else "not known"
    limit = f"limit {one.limit}" if one.limit else ""
    numbers = ", ".join(part for part in (found, limit, one.margin) if part)
    return " ".join(
        sentence(part) for part in (f"{one.answer}: {one.text}", numbers, one.origin) if part
    )


def _labelled(label: str, text: str) -> list[str]:
    return wrap(f"{label}: {text}", "    ", "      ")


def _day(day: DayView) -> list[str]:
    rain = day.rain if day.chance == words.NONE else f"{day.rain} (chance {day.chance})"
    return _item(f"{day.day}: {day.low} to {day.high}, rain {rain}, wind {day.wind}")


def _problems(digest: DigestView) -> Iterator[str]:
    for problem in digest.problems:
        for index, line in enumerate(problem):
            yield from wrap(line, "    " if index else "  - ", "    ")


def _closing(digest: DigestView) -> list[str]:
    lines = wrap(digest.next_digest)
    lines += wrap(digest.weather)
    lines += wrap(f"{digest.attribution} {digest.attribution_url}")
    return [*lines, *wrap(words.DEFER)]


def _section(title: str, lines: Iterable[str]) -> list[str]:
    found = list(lines)
    return [title, *found] if found else []


def _rows_as_items(rows: Iterable[Row], indent: str = "") -> list[str]:
    return [line for row in rows for line in _item(f"{row.label}: {row.text}", indent)]


def _item(text: str, indent: str = "") -> list[str]:
    return wrap(text, f"{indent}  - ")
