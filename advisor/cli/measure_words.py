"""The words of `swardcast measure`: shapes with their lengths, added up and taken off.

    MEASURE = PART { SIGN PART } ;
    SIGN    = "+" | "plus" | "-" | "less" | "setback" ;
    PART    = ( "rectangle" | "strip" ) LENGTH "x" LENGTH | "triangle" LENGTH "x" LENGTH
            | "triangle" "sides" LENGTH LENGTH LENGTH | "trapezoid" LENGTH "and" LENGTH "x" LENGTH
            | ( "circle" | "half-circle" ) ( "radius" | "across" ) LENGTH | "oval" LENGTH "x" LENGTH
            | "offsets" LENGTH { LENGTH } "every" LENGTH [ "end-to-end" ]
            | "corners" X,Y { X,Y } UNIT | "area" NUMBER AREA-UNIT ;

A unit stands once behind several numbers, or behind each: `60 x 40 ft`, `30 paces x 20 ft`.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from advisor.series.quantity import Kind, Written, units_of
from advisor.site.problem import nearest
from advisor.turf.areas import (
    PACED,
    TAPED,
    AreaError,
    Length,
    Measured,
    Shape,
    circle,
    half_circle,
    offsets,
    oval,
    polygon,
    rectangle,
    together,
    trapezoid,
    triangle,
    triangle_of_sides,
)

PACES = ("paces", "pace", "steps", "step")
LENGTH_UNITS = ("ft", "in", "yd", "m", "cm")
METRIC = ("m", "cm", "m2", "ha")
AREA_UNITS = tuple(sorted(units_of(Kind.AREA)))

SIGNS = {
    "+": "plus", "plus": "plus",
    "-": "less", "−": "less", "–": "less", "less": "less", "minus": "less",
    "setback": "setback",
}  # fmt: skip
BETWEEN = ("x", "×", "by")

MOST_NUMBERS = 400
"""More widths or corners than this nobody took."""

LARGEST = 1e6

_RIGHT = "Right: rectangle 60 ft x 40 ft plus circle radius 12 ft"

_TOKEN = re.compile(
    r"\d+(?:\.\d+)?|\.\d+|[x×](?=[\s\d.]|$)|[A-Za-z]+[0-9]?(?:-[A-Za-z]+)*|[+\-−–,]|\S",
)
_NUMBER = re.compile(r"\d+(?:\.\d+)?|\.\d+")


class MeasureError(ValueError):
    """Words that are no measure: `column` counts from 0 in the text, `hint` says how to mend it."""

    def __init__(self, what: str, column: int, width: int = 1, hint: str = "") -> None:
        super().__init__(what)
        self.column, self.width, self.hint = column, max(1, width), hint


@dataclass(frozen=True)
class Part:
    """One shape as it was given: `sign` is plus, less or setback."""

    sign: str
    text: str
    shape: Shape
    metric: bool | None
    """Whether it was given in metres or in feet; None where it was in paces alone."""


@dataclass(frozen=True)
class _Token:
    text: str
    column: int

    @property
    def word(self) -> str:
        return self.text.lower()


def read_stride(text: str) -> tuple[float, bool]:
    """The length of a stride [m] from `100 ft = 38` or `30 m = 40 paces`, and whether that was
    measured in metres. Raises MeasureError."""
    right = 'Right: --stride "100 ft = 38 paces"'
    match = re.fullmatch(
        rf"\s*({_NUMBER.pattern})\s*([A-Za-z]+)\s*=\s*({_NUMBER.pattern})\s*([A-Za-z]*)\s*", text
    )
    if match is None:
        raise MeasureError("a length and its paces were expected", 0, len(text), right)
    unit, word = match[2].lower(), match[4].lower()
    if unit not in LENGTH_UNITS:
        hint = nearest(unit, LENGTH_UNITS) or right
        what = f"no unit of length is called “{match[2]}”"
        raise MeasureError(what, match.start(2), len(unit), hint)
    if word and word not in PACES:
        hint = nearest(word, PACES) or right
        raise MeasureError(f"“{match[4]}” are no paces", match.start(4), len(word), hint)
    paces = float(match[3])
    stride = Written(float(match[1]), unit).as_kind(Kind.LENGTH) / paces if paces else 0.0
    if not 0.3 <= stride <= 1.6:
        what = f"a stride of {stride:.2f} m cannot be right"
        raise MeasureError(what, 0, len(text), f"Pace a known length, and count. {right}")
    return stride, unit in METRIC


def read_measure(text: str, stride_m: float | None = None) -> list[Part]:
    """The parts of a measure. Raises MeasureError."""
    return _Reader(text, stride_m).parts()


def sum_up(parts: list[Part]) -> Measured:
    """What the parts come to. Raises AreaError."""

    def of(sign: str) -> list[Shape]:
        return [part.shape for part in parts if part.sign == sign]

    return together(of("plus"), of("less"), of("setback"))


@dataclass(frozen=True)
class _Given:
    """A number as it stands, with its unit or none."""

    token: _Token
    number: float
    unit: str
    inches: float = 0.0


class _Reader:
    def __init__(self, text: str, stride_m: float | None) -> None:
        self.text = text
        self.stride_m = stride_m
        self.tokens = [_Token(m.group(), m.start()) for m in _TOKEN.finditer(text)]
        self.at = 0
        self.metric: bool | None = None

    def parts(self) -> list[Part]:
        if not self.tokens:
            raise MeasureError("a shape was expected", 0, 1, _RIGHT)
        found = []
        sign = SIGNS.get(self.tokens[0].word)
        self.at = 0 if sign is None else 1
        while True:
            found.append(self.part(sign or "plus"))
            if self.at == len(self.tokens):
                return found
            token = self.tokens[self.at]
            sign = SIGNS.get(token.word)
            if sign is None:
                words = [word for word in SIGNS if word.isalpha()]
                joins = "Join shapes with plus (+), less (-) or setback."
                hint = nearest(token.text, words) or joins
                raise self.wrong(token, f"“{token.text}” joins nothing", hint)
            self.at += 1
            if sign == "setback" and self.at < len(self.tokens) and self.peek() in ("-", "+"):
                raise self.wrong(self.tokens[self.at], "a setback is taken off by itself")

    def part(self, sign: str) -> Part:
        token = self.next("a shape", _RIGHT)
        reader = _SHAPES.get(token.word)
        if reader is None:
            hint = nearest(token.text, _SHAPES) or f"Known: {', '.join(_SHAPES)}."
            raise self.wrong(token, f"no shape is called “{token.text}”", hint)
        self.metric = None
        try:
            shape = reader(self)
        except AreaError as error:
            width = self.end - token.column
            raise MeasureError(str(error), token.column, width) from None
        words = " ".join(self.text[token.column : self.end].split())
        return Part(sign, words, shape, self.metric)

    @property
    def end(self) -> int:
        """Where the last word that was taken ends."""
        last = self.tokens[self.at - 1]
        return last.column + len(last.text)

    def peek(self) -> str:
        return self.tokens[self.at].word if self.at < len(self.tokens) else ""

    def next(self, wanted: str, hint: str = "") -> _Token:
        if self.at == len(self.tokens):
            what = f"{wanted} was expected at the end"
            raise MeasureError(what, len(self.text.rstrip()), 1, hint)
        self.at += 1
        return self.tokens[self.at - 1]

    def take(self, words: tuple[str, ...], right: str) -> str:
        """One of the words, which has to stand here."""
        shown = " or ".join(f"“{word}”" for word in words if word.isascii())
        token = self.next(shown, f"Right: {right}")
        if token.word not in words:
            hint = nearest(token.text, words) or f"Right: {right}"
            raise self.wrong(token, f"{shown} was expected, not “{token.text}”", hint)
        return token.word

    @staticmethod
    def wrong(token: _Token, what: str, hint: str = "") -> MeasureError:
        return MeasureError(what, token.column, len(token.text), hint)

    def given(self, right: str) -> _Given:
        """A number, and its unit where that stands right behind it; `6 ft 4 in` is one length."""
        token = self.next("a length", f"Right: {right}")
        if not _NUMBER.fullmatch(token.text):
            what = f"a length was expected, not “{token.text}”"
            raise self.wrong(token, what, f"Right: {right}")
        if self.peek() == ",":
            what = "a comma can be read in two ways; write the number without one"
            raise self.wrong(self.tokens[self.at], what, f"Right: {right}")
        unit = self.unit()
        inches = 0.0
        ahead = [token.word for token in self.tokens[self.at : self.at + 2]]
        if unit == "ft" and len(ahead) == 2 and ahead[1] == "in" and _NUMBER.fullmatch(ahead[0]):
            inches = float(ahead[0])
            if inches >= 12:
                raise self.wrong(self.tokens[self.at], "a foot has 12 inches", f"Right: {right}")
            self.at += 2
        return _Given(token, self.number(token), unit, inches)

    def number(self, token: _Token) -> float:
        value = float(token.text)
        if value > LARGEST:
            raise self.wrong(token, f"{token.text[:12]} is too large for a lawn")
        return value

    def unit(self) -> str:
        """The unit that stands here, or none."""
        word = self.peek()
        if word in LENGTH_UNITS or word in PACES:
            self.at += 1
            return "paces" if word in PACES else word
        return ""

    def lengths(self, given: list[_Given]) -> list[Length]:
        """Lengths in metres; one without a unit has that of the next one that has any."""
        unit = ""
        found: list[Length] = []
        for one in reversed(given):
            unit = one.unit or unit
            if not unit:
                known = ", ".join((*LENGTH_UNITS, PACES[0]))
                left = self.tokens[self.at] if self.at < len(self.tokens) else None
                if left is not None and left.word not in SIGNS:
                    hint = nearest(left.text, (*LENGTH_UNITS, *PACES)) or f"Known: {known}."
                    raise self.wrong(left, f"no unit of length is called “{left.text}”", hint)
                what = f"{one.token.text} has no unit"
                raise self.wrong(one.token, what, f"Write one behind it: {known}.")
            found.append(self.length(one, unit))
        return found[::-1]

    def length(self, one: _Given, unit: str) -> Length:
        if unit == "paces":
            if self.stride_m is None:
                hint = 'Pace a known length, and say: --stride "100 ft = 38 paces"'
                raise self.wrong(one.token, "how long your paces are is not known", hint)
            return Length(one.number * self.stride_m, PACED)
        self.metric = self.metric is not False and unit in METRIC
        metres = Written(one.number, unit).as_kind(Kind.LENGTH)
        return Length(metres + Written(one.inches, "in").as_kind(Kind.LENGTH), TAPED)

    def two(self, right: str) -> tuple[Length, Length]:
        """Two lengths with an x between them."""
        first = self.given(right)
        self.take(BETWEEN, right)
        one, other = self.lengths([first, self.given(right)])
        return one, other


def _triangle(words: _Reader) -> Shape:
    if words.peek() != "sides":
        return triangle(*words.two("triangle 30 ft x 20 ft, or: triangle sides 30 40 50 ft"))
    words.at += 1
    given = [words.given("triangle sides 30 40 50 ft") for _ in range(3)]
    return triangle_of_sides(*words.lengths(given))


def _trapezoid(words: _Reader) -> Shape:
    right = "trapezoid 40 and 60 x 25 ft"
    first = words.given(right)
    words.take(("and",), right)
    second = words.given(right)
    words.take(BETWEEN, right)
    return trapezoid(*words.lengths([first, second, words.given(right)]))


def _round(shape: Callable[[Length], Shape], name: str) -> Callable[[_Reader], Shape]:
    """Whether a circle of 12 ft is that from its middle or across would make it four times as
    large, so it has to be said."""

    def read(words: _Reader) -> Shape:
        right = f"{name} radius 12 ft, or: {name} across 24 ft"
        across = words.take(("radius", "across"), right) == "across"
        (length,) = words.lengths([words.given(right)])
        return shape(Length(length.metres / (2 if across else 1), length.doubt))

    return read


def _offsets(words: _Reader) -> Shape:
    right = "offsets 18 24 30 28 22 16 ft every 10 ft"
    widths = [words.given(right)]
    while words.peek() != "every":
        if len(widths) == MOST_NUMBERS:
            raise AreaError(f"more than {MOST_NUMBERS} widths")
        widths.append(words.given(right))
    words.take(("every",), right)
    interval = words.given(right)
    ends = words.peek() == "end-to-end"
    (step,) = words.lengths([interval])
    found = words.lengths(widths if widths[-1].unit else [*widths, interval])[: len(widths)]
    words.at += ends
    return offsets(found, step, end_to_end=ends)


def _corners(words: _Reader) -> Shape:
    right = "corners 0,0 60,0 60,40 0,40 ft"
    corners: list[tuple[float, float]] = []
    first = words.next("a corner", f"Right: {right}")
    words.at -= 1
    while _NUMBER.fullmatch(words.peek()) and len(corners) < MOST_NUMBERS:
        x = words.number(words.next("a corner"))
        words.take((",",), right)
        y = words.next("a number", f"Right: {right}")
        if not _NUMBER.fullmatch(y.text):
            raise words.wrong(y, f"a number was expected, not “{y.text}”", f"Right: {right}")
        corners.append((x, words.number(y)))
    if not corners:
        raise words.wrong(first, f"a corner was expected, not “{first.text}”", f"Right: {right}")
    (one,) = words.lengths([_Given(first, 1.0, words.unit())])
    return polygon([(x * one.metres, y * one.metres) for x, y in corners], one.doubt)


def _area(words: _Reader) -> Shape:
    right = "area 260 ft2"
    number = words.next("a number", f"Right: {right}")
    if not _NUMBER.fullmatch(number.text):
        what = f"a number was expected, not “{number.text}”"
        raise words.wrong(number, what, f"Right: {right}")
    unit = words.take(AREA_UNITS, right)
    words.metric = unit in METRIC
    area = Written(words.number(number), unit).as_kind(Kind.AREA)
    if area <= 0:
        raise AreaError("an area has to be more than 0")
    return Shape(area, 2 * TAPED * area)


_SHAPES: dict[str, Callable[[_Reader], Shape]] = {
    "rectangle": lambda words: rectangle(*words.two("rectangle 60 ft x 40 ft")),
    "strip": lambda words: rectangle(*words.two("strip 60 ft x 10 ft")),
    "triangle": _triangle,
    "trapezoid": _trapezoid,
    "circle": _round(circle, "circle"),
    "half-circle": _round(half_circle, "half-circle"),
    "oval": lambda words: oval(*words.two("oval 40 ft x 30 ft")),
    "offsets": _offsets,
    "corners": _corners,
    "area": _area,
}

SHAPES = tuple(_SHAPES)
