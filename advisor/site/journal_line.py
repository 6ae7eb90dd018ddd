"""The grammar of one line of the journal: `DATE LAWN WHAT`."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from advisor.series.quantity import (
    Kind,
    QuantityError,
    Written,
    example,
    read_written,
    units_of,
    with_article,
)
from advisor.site.facts import (
    SEEN,
    Aerated,
    Applied,
    Dethatched,
    Done,
    Laid,
    Last,
    Mowed,
    NotYet,
    Rain,
    Seeded,
    Seen,
    Skipped,
    Soil,
    SoilTest,
    StormWatch,
    Undo,
    Watered,
    What,
)
from advisor.site.fields import NAME, WrongTextError, calendar_day, clock, word_hint
from advisor.site.problem import nearest
from advisor.site.shelf import Product, Shelf, read_analysis
from advisor.site.words import TASKS, TESTS


class LineError(ValueError):
    """A line that cannot be read: `column` counts from 0, `width` in characters."""

    def __init__(self, what: str, column: int, width: int = 1, hint: str = "") -> None:
        super().__init__(what)
        self.column = column
        self.width = max(1, width)
        self.hint = hint


@dataclass(frozen=True)
class Token:
    """A word of a line and the column where it begins, from 0."""

    text: str
    column: int


def tokens(line: str) -> list[Token]:
    """The words of a line, up to a comment."""
    words = []
    for match in re.finditer(r"\S+", line):
        if match.group().startswith("#"):
            break
        words.append(Token(match.group(), match.start()))
    return words


def _wrong(token: Token, what: str, hint: str = "") -> LineError:
    return LineError(what, token.column, len(token.text), hint)


def read_day(token: Token) -> date:
    """The date that a word is. Raises LineError."""
    try:
        return calendar_day(token.text)
    except WrongTextError as error:
        raise _wrong(token, str(error)) from None


class _Words:
    """What is left of a line, taken word by word."""

    def __init__(self, line: str, words: Sequence[Token], shelf: Shelf) -> None:
        self.line = line
        self.words = list(words)
        self.shelf = shelf
        self.end = Token("", words[-1].column + len(words[-1].text) if words else len(line))

    def next(self, wanted: str) -> Token:
        if not self.words:
            raise LineError(f"{wanted} was expected at the end", self.end.column)
        return self.words.pop(0)

    def take(self, word: str, right: str) -> None:
        hint = f"Right: {right}"
        if not self.words:
            raise LineError(f"“{word}” was expected at the end", self.end.column, hint=hint)
        token = self.words.pop(0)
        if token.text != word:
            raise _wrong(token, f"“{word}” was expected, not “{token.text}”", hint)

    def has(self, word: str) -> bool:
        if self.words and self.words[0].text == word:
            self.words.pop(0)
            return True
        return False

    def finish(self) -> None:
        if self.words:
            left = self.words[0]
            width = self.end.column - left.column
            raise LineError(
                f"“{self.line[left.column : self.end.column]}” is left over", left.column, width
            )

    def quantity(
        self, kinds: tuple[Kind, ...], low: float, high: float, until: str = ""
    ) -> Written:
        """The words up to the word `until` (or the end) as a quantity; bounds in inside units."""
        found: list[Token] = []
        while self.words and self.words[0].text != until:
            found.append(self.words.pop(0))
        right = " or ".join(example(kind) for kind in kinds)
        if not found:
            raise LineError(f"a quantity was expected, such as {right}", self.end.column)
        start = found[0].column
        text = self.line[start : found[-1].column + len(found[-1].text)]
        hint = f"Right: {right}"
        try:
            written, end = read_written(text)
        except QuantityError as error:
            column = start + error.column
            raise LineError(str(error), column, len(text) - error.column, hint) from None
        kind = next((kind for kind in kinds if kind in written.kinds()), None)
        if text[end:].strip():
            rest = text[end:].strip()
            said = f"“{rest}” is left over" if written.unit else f"no unit is called “{rest}”"
            near = nearest(rest, [unit for kind in kinds for unit in units_of(kind)])
            hint = near if near and not written.unit else hint
            end += len(text[end:]) - len(text[end:].lstrip())
            raise LineError(said, start + end, len(text) - end, hint)
        if kind is None or not written.unit:
            wanted = " or ".join(with_article(kind) for kind in kinds)
            why = "" if written.unit else ": it has no unit"
            raise LineError(f"{text} is not {wanted}{why}", start, len(text), hint)
        if not low <= written.as_kind(kind) <= high:
            raise LineError(f"{text} cannot be right", start, len(text), hint)
        return written

    def task(self) -> str:
        token = self.next("a task")
        if token.text not in TASKS:
            hint = word_hint(token.text, TASKS)
            raise _wrong(token, f"no task is called “{token.text}”", hint)
        return token.text

    def product(self, written: Written) -> Product:
        token = self.next("a product")
        product = self.shelf.get(token.text)
        if product is None:
            if token.text in self.shelf.broken:
                raise _wrong(token, f"{token.text} has a mistake in shelf.toml", "Mend it there.")
            names = [product.name for product in self.shelf.products]
            hint = word_hint(token.text, names) if names else "The shelf has no product."
            raise _wrong(token, f"no product on the shelf is called “{token.text}”", hint)
        if product.measured_in == "kg" and Kind.MASS not in written.kinds():
            raise _wrong(token, f"{product.name} is weighed, and {written} is a volume")
        return product


_PUT = ((Kind.MASS, Kind.VOLUME), 1e-6, 1e6)


def _applied(words: _Words) -> What:
    written = words.quantity(*_PUT, until="of")
    words.take("of", "applied 5.4 lb of spring-granules 24-0-6")
    product = words.product(written)
    analysis = None
    if words.words and words.words[0].text != "with":
        analysis = _same_analysis(words, product)
    said = Applied(written, product.name, analysis)
    return _spread(words, said) if words.has("with") else said


def _same_analysis(words: _Words, product: Product) -> str:
    """The analysis on the line, which must be that of the label."""
    token = words.next("an analysis")
    try:
        analysis = read_analysis(token.text)
    except WrongTextError as error:
        raise _wrong(token, str(error)) from None
    label = product.analysis
    if label is None or (analysis.nitrogen, analysis.phosphate, analysis.potash) != (
        label.nitrogen,
        label.phosphate,
        label.potash,
    ):
        said = f"the shelf says {label.text}" if label else "the shelf states no analysis"
        raise _wrong(
            token, f"{product.name}: {said}", "A bag with another analysis gets another name."
        )
    return analysis.text


_WITH = "applied 5.4 lb of spring-granules with red-drum at 12, 0.6 lb left"
_MARK = re.compile(r"[A-Za-z0-9./-]{1,12}")


def _spread(words: _Words, said: Applied) -> Applied:
    """What stands behind `with`: the spreader, the mark of its opening, and how it came out."""
    token = words.next("a spreader or sprayer")
    more = token.text.endswith(",")
    name, mark = token.text.removesuffix(","), None
    if not NAME.fullmatch(name):
        raise _wrong(token, f"“{name}” is no name of a spreader", f"Right: {_WITH}")
    if not more and words.has("at"):
        token = words.next("the mark of its opening")
        more = token.text.endswith(",")
        mark = token.text.removesuffix(",")
        if not _MARK.fullmatch(mark):
            raise _wrong(token, f"“{mark}” is no mark of an opening", f"Right: {_WITH}")
    said = replace(said, spreader=name, mark=mark)
    if not more:
        return said
    last = words.words[-1].text if words.words else ""
    if last == "short":
        short = words.quantity((Kind.AREA,), 1e-6, 1e7, until="short")
        words.take("short", _WITH)
        return replace(said, short=short)
    kind = Kind.MASS if Kind.MASS in said.written.kinds() else Kind.VOLUME
    left = words.quantity((kind,), 0, 1e6, until="left")
    words.take("left", f"{_WITH}; or, where it ran out too soon: 200 ft2 short")
    return replace(said, left=left)


def _done(words: _Words) -> What:
    task = words.task()
    if not words.words:
        return Done(task)
    written = words.quantity(*_PUT, until="of")
    words.take("of", "done feed 5.4 lb of spring-granules")
    return Done(task, written, words.product(written).name)


def _not_yet(words: _Words) -> What:
    words.take("yet", "not yet feed")
    return NotYet(words.task())


def _last(words: _Words) -> What:
    task = words.task()
    if words.has("not"):
        words.take("known", "last feed not known")
        return Last(task, None)
    return Last(task, read_day(words.next("a date or “not known”")))


def _soil(words: _Words) -> What:
    written = words.quantity((Kind.TEMPERATURE,), -40, 60, until="at")
    words.take("at", "soil 54 F at 2 in, 08:00")
    minute = None
    if len(words.words) > 1 and words.words[-2].text.endswith(","):
        token = words.words.pop()
        try:
            minute = clock(token.text)
        except WrongTextError as error:
            raise _wrong(token, str(error)) from None
        last = words.words[-1]
        words.words[-1] = Token(last.text[:-1], last.column)
    return Soil(written, words.quantity((Kind.LENGTH,), 0.005, 1), minute)


def _mowed(words: _Words) -> What:
    if not words.has("at"):
        return Mowed()
    return Mowed(words.quantity((Kind.LENGTH,), 0.005, 0.3))


def _rest(words: _Words) -> str:
    """All the words that are left, with one space between them."""
    rest = " ".join(token.text for token in words.words)
    words.words.clear()
    return rest


def _seeded(words: _Words) -> What:
    if not words.words:
        return Seeded()
    words.take("with", "seeded with tall fescue")
    if not words.words:
        raise LineError("what it was seeded with was expected at the end", words.end.column)
    return Seeded(_rest(words))


def _seen(words: _Words) -> What:
    token = words.next("what was seen")
    if token.text not in SEEN:
        raise _wrong(token, f"“{token.text}” is nothing to be seen", word_hint(token.text, SEEN))
    return Seen(token.text)


def _tested(words: _Words) -> What:
    of = words.next("what was tested")
    results = TESTS.get(of.text)
    if results is None:
        hint = f"{word_hint(of.text, TESTS)} Right: tested phosphorus low"
        raise _wrong(of, f"a soil test is not of “{of.text}”", hint)
    token = words.next(" or ".join(f"“{result}”" for result in results))
    if token.text not in results:
        hint = f"{word_hint(token.text, results)} Right: tested {of.text} {results[0]}"
        raise _wrong(token, f"a test of {of.text} does not say “{token.text}”", hint)
    return SoilTest(of.text, token.text)


def _watch(words: _Words) -> What:
    if words.has("over"):
        return StormWatch(None)
    words.take("until", "watch until 2026-09-10, or: watch over")
    return StormWatch(read_day(words.next("the last day of the watch or warning")))


def _undo(words: _Words) -> What:
    day = read_day(words.next("the date of the line to undo"))
    if not words.words:
        raise LineError("the first words of the line to undo were expected", words.end.column)
    return Undo(day, _rest(words))


_READERS: dict[str, Callable[[_Words], What]] = {
    "applied": _applied,
    "done": _done,
    "skipped": lambda words: Skipped(words.task()),
    "not": _not_yet,
    "last": _last,
    "rain": lambda words: Rain(words.quantity((Kind.WATER,), 0, 2000)),
    "watered": lambda words: Watered(words.quantity((Kind.WATER,), 0, 200)),
    "soil": _soil,
    "mowed": _mowed,
    "aerated": lambda _words: Aerated(),
    "dethatched": lambda _words: Dethatched(),
    "seeded": _seeded,
    "laid": lambda words: Laid(_rest(words)),
    "seen": _seen,
    "tested": _tested,
    "watch": _watch,
    "undo": _undo,
}

VERBS = tuple(_READERS)
"""The first word of what a line says."""

MAY_APPLY = ("applied", "done")
"""The verbs of lines that may say that something was put down."""


def read_what(line: str, words: Sequence[Token], shelf: Shelf) -> What:
    """What the words after the lawn say. Raises LineError."""
    left = _Words(line, words, shelf)
    verb = left.next("what was done or seen")
    reader = _READERS.get(verb.text)
    if reader is None:
        hint = word_hint(verb.text, VERBS)
        raise _wrong(verb, f"a line cannot say “{verb.text}”", hint)
    what = reader(left)
    left.finish()
    return what


def read_lawn(token: Token, lawns: Sequence[str]) -> tuple[str, ...]:
    """The lawns that a word names. Raises LineError."""
    if token.text == "all":
        return tuple(lawns)
    if token.text in lawns:
        return (token.text,)
    hint = word_hint(token.text, ("all", *lawns))
    shape = "" if NAME.fullmatch(token.text) else "; a line is DATE LAWN WHAT"
    raise _wrong(token, f"no lawn is called “{token.text}”{shape}", hint)
