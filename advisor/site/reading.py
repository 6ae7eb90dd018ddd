"""From the text of a TOML file to its raw values, with a place and a message for each mistake."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from advisor.site.problem import Problem
from advisor.site.toml_lines import Path, Spot, Spots, spots

LARGEST = 500_000
_MOST_MENDED = 30
_SECRET = re.compile(r"pass|secret|token|api[-_]?key|credential", re.IGNORECASE)
_SECRET_WORDS = {"key", "pwd", "pw", "auth"}
_NAMES_A_WAY = re.compile(r"(password|key)_(env|file|credential|command)")
_WAYS = (
    "A site file holds no secret. Say where it is kept: {0}_credential (a systemd credential),"
    " {0}_file or {0}_env (an environment variable)."
)
_PLACE = re.compile(r"\s*\((?:at line (\d+), column (\d+)|at end of document)\)\s*$")
_TWICE = re.compile(r"\s*(\[\[?\s*([A-Za-z0-9_.-]+)\s*\]?\]|(([A-Za-z0-9_.\"'-]+)\s*=))")
"""A table's head, or a key."""
_ONE_LINE_PAIR = re.compile(r"\s*([A-Za-z0-9_-]+)\s*=(?!.*(\"\"\"|'''))[^\[\{]*$")


def clean(line: str) -> str:
    """A line as it can be shown: no control characters, and not endless."""
    shown = "".join(
        c if c.isprintable() or c == "\t" else "\N{REPLACEMENT CHARACTER}" for c in line
    )
    return shown if len(shown) <= 160 else shown[:159] + "…"


def is_secret(key: str) -> bool:
    """Whether a key looks as if its value were a secret, and not where one is kept."""
    return (bool(_SECRET.search(key)) or key.lower() in _SECRET_WORDS) and not (
        _NAMES_A_WAY.fullmatch(key)
    )


def _hide(line: str) -> str:
    """The line without its value where that may be a secret, for messages that travel by mail."""
    key, sign, _ = line.partition("=")
    loose = key.strip().strip("\"'").rpartition(".")[2].strip("\"' ")
    if sign and (is_secret(loose) or loose.endswith("_env")):
        return f"{key.rstrip()} = …"
    # Inside a table on one line, or in a web address.
    line = re.sub(r"(//)[^/@\s]*@", r"\1…@", re.sub(r"\?[^\s\"']*", "?…", line))
    return re.sub(
        r"(\b[\w-]*(?:pass|secret|token|key|pwd)[\w-]*\s*=\s*)(\"[^\"]*\"|'[^']*'|[^,}\s]+)",
        lambda found: found[0] if _NAMES_A_WAY.match(found[1]) else f"{found[1]}…",
        line,
        flags=re.IGNORECASE,
    )


@dataclass
class Raw:
    """The values of one file, where they stand, and what was wrong up to here."""

    file: str
    lines: list[str]
    data: dict[str, Any]
    spots: Spots
    problems: list[Problem] = field(default_factory=list)
    half_read: set[str] = field(default_factory=set)
    """Keys on lines that could not be read: they are wrong, and not missing."""

    def as_array(self, key: str) -> None:
        """Let one table `[key]` stand as the only one of several, `[[key]]`."""
        if not isinstance(self.data.get(key), dict):
            return
        self.data[key] = [self.data[key]]
        self.spots = Spots(
            *(
                {((key, 0, *path[1:]) if path[:1] == (key,) else path): spot for path, spot in
                 places.items()}
                for places in (self.spots.keys, self.spots.values)
            )
        )  # fmt: skip

    def problem(self, spot: Spot | None, what: str, hint: str = "", warning: bool = False) -> None:
        """Note a problem at a place; at the file as a whole where there is none."""
        line, column, width = (spot.line, spot.column, spot.width) if spot else (0, 0, 1)
        text = self.lines[line - 1] if 0 < line <= len(self.lines) else ""
        shown = clean(_hide(text))
        if not shown.startswith(text[: max(0, column - 1)]) or column > len(shown):
            column = 0
        width = max(1, min(width, len(shown) - column + 1))
        self.problems.append(
            Problem(self.file, line, column, clean_text(what), hint, shown, width, warning)
        )

    def at(self, path: Path, what: str, hint: str = "", warning: bool = False) -> None:
        """Note a problem of the value at a path."""
        self.problem(self.spots.of_value(path), what, hint, warning)

    def at_key(self, path: Path, what: str, hint: str = "", warning: bool = False) -> None:
        """Note a problem of the key (or the table) at a path."""
        self.problem(self.spots.of_key(path), what, hint, warning)


def clean_text(text: str) -> str:
    """A message as one line that can be shown."""
    return "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in text)[:400]


def read_toml(file: str, text: str) -> Raw:
    """Read a TOML text. A simple line that cannot be read is noted and passed over, so that the
    rest of the file is checked too; anything else that is not TOML ends the reading."""
    text = text.removeprefix("\N{ZERO WIDTH NO-BREAK SPACE}").replace("\r\n", "\n")
    lines = text.split("\n")
    raw = Raw(file, lines, {}, Spots())
    if len(text) > LARGEST:
        raw.problem(None, f"the file is longer than {LARGEST} characters", "It was not read.")
        return raw
    _note_odd_bytes(raw)
    left = [line.encode("utf-8", "replace").decode("utf-8") for line in lines]
    for _ in range(_MOST_MENDED):
        try:
            raw.data = tomllib.loads("\n".join(left))
        except (ValueError, RecursionError) as error:
            line = _note_syntax(raw, error, left)
            pair = _ONE_LINE_PAIR.match(left[line - 1]) if line else None
            if pair is None:
                return raw
            raw.half_read.add(pair[1])
            left[line - 1] = ""
        else:
            raw.spots = spots("\n".join(left))
            _take_out_secrets(raw, raw.data, ())
            return raw
    return raw


def _note_odd_bytes(raw: Raw) -> None:
    """Bytes that were no UTF-8 stand in the text as lone surrogates, which nothing can print."""
    for number, line in enumerate(raw.lines, start=1):
        for column, sign in enumerate(line, start=1):
            if "\ud800" <= sign <= "\udfff":
                what = "a character here cannot be read"
                raw.problem(Spot(number, column), what, "Save the file as UTF-8 text.")
                break


def _note_syntax(raw: Raw, error: Exception, left: list[str]) -> int:
    """Note what the TOML reader says; the number of the line, 0 when it names none."""
    if isinstance(error, RecursionError):
        raw.problem(None, "brackets stand too deep in one another")
        return 0
    said = str(error)
    place = _PLACE.search(said)
    what = said[: place.start()] if place else said
    if not isinstance(error, tomllib.TOMLDecodeError) or place is None:
        raw.problem(None, "a value cannot be read", "A number in it is too long.")
        return 0
    doubled = "overwrite" in what or "twice" in what
    if place[1] is None and not doubled:
        raw.problem(
            None,
            f"the file ends too early ({what[:1].lower()}{what[1:]})",
            "A quote or a bracket is not closed.",
        )
        return 0
    # A key that stands twice on a last line that nothing ends is told as the document's end.
    number, column = (int(place[1]), int(place[2])) if place[1] else (len(left), 1)
    # The reader names the line after an unclosed one when it meets the line's end.
    text = left[number - 1] if number <= len(left) else ""
    twice = _TWICE.match(text) if doubled else None
    if twice is not None:
        name = (twice[2] or twice[4]).replace('"', "").replace("'", "")
        hint = "A key stands once."
        if twice[2]:
            hint = f"Put their keys together; where there may be several write each as [[{name}]]."
        width = len(twice[0].strip())
        column = 1 + len(twice[0]) - len(twice[0].lstrip())
        raw.problem(Spot(number, column, width), f"“{name}” stands here once more", hint)
        return number
    raw.problem(
        Spot(number, column), f"this cannot be read ({what[:1].lower()}{what[1:]})", _mend(text)
    )
    return number


def _mend(line: str) -> str:
    bare = re.match(r"\s*([A-Za-z0-9_-]+)\s*=\s*([^\"'\[{#]*[^\"'\[{#\s])\s*(#.*)?$", line)
    if bare and not is_secret(bare[1]) and not bare[1].endswith("_env"):
        return f'Text and quantities stand in quotes: {bare[1]} = "{clean_text(bare[2])}"'
    if re.match(r"\s*[A-Za-z0-9_-]+\s*:", line):
        return 'Write a key and its value with “=”, such as title = "Front lawn".'
    return 'Write one key a line, such as title = "Front lawn".'


def _take_out_secrets(raw: Raw, table: dict[str, Any], path: Path) -> None:
    for key, value in list(table.items()):
        here = (*path, key)
        if is_secret(key):
            way = "key" if "weather" in here or "key" in key.lower() else "password"
            raw.at_key(here, f"“{key}” would put a secret into this file", _WAYS.format(way))
            del table[key]
        elif isinstance(value, dict):
            if key not in ("actives", "actives_year"):
                _take_out_secrets(raw, value, here)
        elif isinstance(value, list):
            for index, item in enumerate(value):
                if isinstance(item, dict):
                    _take_out_secrets(raw, item, (*here, index))


def in_order(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """The problems by file and line, each once."""
    return tuple(sorted(set(problems)))


Model = TypeVar("Model", bound=BaseModel)


def tables(raw: Raw, key: str) -> list[Any]:
    """The tables of an array, whatever is in them; none where it is no array."""
    found = raw.data.get(key, [])
    return found if isinstance(found, list) else []


def quietly(model: type[Model], table: object) -> Model | None:
    """The table as a model, or None: what is wrong with its shape is noted elsewhere."""
    try:
        return model.model_validate(table)
    except ValidationError:
        return None


def good_tables(model: type[Model], raw: Raw, key: str) -> list[tuple[Path, Model]]:
    """Those tables of an array that have the right shape, each with its path."""
    pairs = [((key, n), quietly(model, table)) for n, table in enumerate(tables(raw, key))]
    return [(path, found) for path, found in pairs if found is not None]
