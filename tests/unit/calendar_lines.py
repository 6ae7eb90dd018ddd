"""A reader of calendars for tests, by RFC 5545 alone: it refuses what the grammar does not have."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

# RFC 5545, 3.1: name *(";" param) ":" value. A value of a parameter is quoted or plain.
_LINE = re.compile(
    r"(?P<name>[A-Za-z0-9-]+)"
    r'(?P<params>(?:;[A-Za-z0-9-]+=(?:"[^"\x00-\x08\x0a-\x1f\x7f]*"|[^";:,\x00-\x08\x0a-\x1f\x7f]*))*)'
    r":(?P<value>[^\x00-\x08\x0a-\x1f\x7f]*)"
)


@dataclass
class Part:
    """One component: its properties as (name, parameters, value), and the components in it."""

    name: str
    lines: list[tuple[str, str, str]] = field(default_factory=list)
    parts: list[Part] = field(default_factory=list)

    def all(self, name: str) -> list[str]:
        return [value for found, _, value in self.lines if found == name]

    def one(self, name: str) -> str:
        (value,) = self.all(name)
        return value

    def text(self, name: str) -> str:
        return unescaped(self.one(name))

    def params(self, name: str) -> str:
        (found,) = [params for each, params, _ in self.lines if each == name]
        return found

    @property
    def names(self) -> list[str]:
        return [name for name, _, _ in self.lines]


def read_calendar(content: bytes) -> Part:
    """The calendar of one stream. AssertionError for what breaks the grammar."""
    assert content.endswith(b"\r\n")
    physical = content[:-2].split(b"\r\n")
    for line in physical:
        assert b"\r" not in line, "a line ends in CRLF alone"
        assert b"\n" not in line, "a line ends in CRLF alone"
        assert len(line) <= 75, "3.1: lines SHOULD NOT be longer than 75 octets"
        line.decode("utf-8")  # 3.1 lets a fold part a character; many readers do not
    unfolded = content[:-2].decode("utf-8").replace("\r\n ", "").replace("\r\n\t", "")
    open_: list[Part] = [Part("")]
    for line in unfolded.split("\r\n"):
        match = _LINE.fullmatch(line)
        assert match, line
        name, value = match["name"].upper(), match["value"]
        if name == "BEGIN":
            open_.append(Part(value))
        elif name == "END":
            part = open_.pop()
            assert part.name == value
            open_[-1].parts.append(part)
        else:
            open_[-1].lines.append((name, match["params"], value))
    (root,) = open_
    assert root.lines == []
    (whole,) = root.parts
    assert whole.name == "VCALENDAR"
    return whole


def unescaped(value: str) -> str:
    """A value of type TEXT (3.3.11): a backslash, comma and semicolon are escaped, and no other."""
    assert re.fullmatch(r"(?:[^\\,;]|\\[\\,;nN])*", value), value
    return re.sub(
        r"\\(.)", lambda found: "\n" if found[1] in "nN" else found[1], value, flags=re.DOTALL
    )
