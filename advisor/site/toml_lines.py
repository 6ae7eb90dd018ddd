"""Where each key and value of a TOML text stands.

The standard library's reader gives values without their places. This scan walks the same text and
notes the places; it judges nothing, and on a text that is not valid TOML it simply stops early.
"""

from __future__ import annotations

import contextlib
import re
from dataclasses import dataclass, field

Path = tuple[str | int, ...]


@dataclass(frozen=True)
class Spot:
    """A place in a text: line and column count from 1, `width` in characters on that line."""

    line: int
    column: int
    width: int = 1


@dataclass
class Spots:
    """The places of a text: of each key (or table header) and of each value, by path."""

    keys: dict[Path, Spot] = field(default_factory=dict)
    values: dict[Path, Spot] = field(default_factory=dict)

    def of_key(self, path: Path) -> Spot | None:
        """Where the key stands, or the nearest table around it."""
        while path:
            if path in self.keys:
                return self.keys[path]
            path = path[:-1]
        return None

    def of_value(self, path: Path) -> Spot | None:
        """Where the value stands, or the nearest thing around it."""
        while path:
            spot = self.values.get(path) or self.keys.get(path)
            if spot:
                return spot
            path = path[:-1]
        return None


_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_SPACE = re.compile(r"[ \t]*")
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_PLAIN = re.compile(r"[^,\]}#\n\r]+")
_STRINGS = (
    re.compile(r'"""(?:\\.|[^\\])*?"{3,5}', re.DOTALL),
    re.compile(r"'''.*?'{3,5}", re.DOTALL),
    re.compile(r'"(?:\\.|[^"\\\n])*"'),
    re.compile(r"'[^'\n]*'"),
)
_DEEPEST = 40


class _Stop(Exception):  # noqa: N818 - no error: the scan has nothing more to say
    pass


class _Scan:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.spots = Spots()
        self.arrays: dict[Path, int] = {}
        starts = [0] + [match.end() for match in re.finditer("\n", text)]
        self.starts = starts

    def spot(self, start: int, end: int) -> Spot:
        low, high = 0, len(self.starts)
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (middle, high) if self.starts[middle] <= start else (low, middle)
        newline = self.text.find("\n", start, end)
        width = (newline if newline >= 0 else end) - start
        return Spot(low + 1, start - self.starts[low] + 1, max(1, width))

    def skip(self, pattern: re.Pattern[str]) -> None:
        match = pattern.match(self.text, self.at)
        if match:
            self.at = match.end()

    def take(self, sign: str) -> None:
        if not self.text.startswith(sign, self.at):
            raise _Stop
        self.at += len(sign)

    def string(self) -> bool:
        for pattern in _STRINGS:
            match = pattern.match(self.text, self.at)
            if match:
                self.at = match.end()
                return True
        return False

    def key(self) -> list[tuple[str, int, int]]:
        """A dotted key: each part with where it begins and ends."""
        parts = []
        while True:
            self.skip(_SPACE)
            start = self.at
            bare = _BARE.match(self.text, start)
            if bare:
                self.at = bare.end()
                name = bare.group()
            elif self.string():
                name = self.text[start + 1 : self.at - 1]
            else:
                raise _Stop
            parts.append((name, start, self.at))
            self.skip(_SPACE)
            if not self.text.startswith(".", self.at):
                return parts
            self.at += 1

    def inside(self, path: Path) -> Path:
        """A table's path, with the index of the newest item of each array of tables on the way."""
        found: Path = ()
        for part in path:
            found = (*found, part)
            if found in self.arrays:
                found = (*found, self.arrays[found])
        return found

    def header(self) -> Path:
        start = self.at
        many = self.text.startswith("[[", start)
        self.take("[[" if many else "[")
        names: Path = tuple(name for name, _, _ in self.key())
        self.take("]]" if many else "]")
        spot = self.spot(start, self.at)
        if many:
            array = (*self.inside(names[:-1]), names[-1])
            self.arrays[array] = self.arrays.get(array, -1) + 1
            self.spots.keys.setdefault(array, spot)
        path = self.inside(names)
        self.spots.keys.setdefault(path, spot)
        return path

    def pair(self, table: Path, depth: int) -> None:
        path = table
        for name, start, end in self.key():
            path = (*path, name)
            self.spots.keys.setdefault(path, self.spot(start, end))
        self.take("=")
        self.skip(_SPACE)
        self.value(path, depth)

    def value(self, path: Path, depth: int) -> None:
        start = self.at
        if depth > _DEEPEST:
            raise _Stop
        if self.text.startswith("[", start):
            self.at += 1
            self.items(path, "]", depth)
        elif self.text.startswith("{", start):
            self.at += 1
            self.items(path, "}", depth)
        elif not self.string():
            match = _PLAIN.match(self.text, start)
            if match is None:
                raise _Stop
            self.at = start + len(match.group().rstrip())
        self.spots.values.setdefault(path, self.spot(start, self.at))

    def items(self, path: Path, end: str, depth: int) -> None:
        index = 0
        while True:
            self.skip(_BLANK)
            if self.text.startswith(end, self.at):
                self.at += 1
                return
            if end == "]":
                self.value((*path, index), depth + 1)
            else:
                self.pair(path, depth + 1)
            index += 1
            self.skip(_BLANK)
            if self.text.startswith(",", self.at):
                self.at += 1

    def run(self) -> None:
        table: Path = ()
        while True:
            self.skip(_BLANK)
            if self.at >= len(self.text):
                return
            if self.text.startswith("[", self.at):
                table = self.header()
            else:
                self.pair(table, 0)


def spots(text: str) -> Spots:
    """The places of every key and value in a TOML text."""
    scan = _Scan(text)
    with contextlib.suppress(_Stop):
        scan.run()
    return scan.spots
