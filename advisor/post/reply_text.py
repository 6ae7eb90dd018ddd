"""The words of a reply apart from what its program put beside them: quotes, signatures, headers."""

from __future__ import annotations

import html
import re
from urllib.parse import unquote

LONGEST_PAGE = 200_000
"""Characters of HTML that are read."""

_QUOTE = re.compile(r"\s{0,3}[>|]")
_SIGNATURE = re.compile(r"--\s?")
_ORIGINAL = re.compile(
    r"\s*(?:[-_]{2,}\s*(?:original message|forwarded message|ursprüngliche nachricht"
    r"|weitergeleitete nachricht|original-nachricht)\s*[-_]{2,}|_{10,})\s*",
    re.I,
)
_HEADER = re.compile(
    r"\s*\*?(from|von|sent|gesendet|date|datum|to|an|cc|kopie|subject|betreff|reply-to)\s*:\*?\s",
    re.I,
)
_SENDER = re.compile(r"\s*\*?(?:from|von)\s*:", re.I)
_BEGINS = re.compile(r"\s*(?:on|am|le|il|el|op|den|dne|em)\s", re.I)
"""How the line before a quote begins: it has a date after it."""

_TOKEN = re.compile(r"\bsw\d[a-z2-7]{20,}", re.I)
"""What looks like one of our tokens; `site.tokens` says whether it is."""

_FEWEST_HEADERS = 3
_LONGEST_ATTRIBUTION = 4
"""Lines over which `On … somebody wrote:` may be broken."""


def own_words(text: str, *, flowed: bool = False) -> tuple[str, str]:
    """The writer's own words, and all the rest: what is quoted, a signature, an old mail below."""
    lines = re.split(r"\r\n|\r|\n", text)
    if flowed:
        lines = _unflowed(lines)
    own: list[str] = []
    rest: list[str] = []
    for place, line in enumerate(lines):
        if _SIGNATURE.fullmatch(line) or _ORIGINAL.fullmatch(line) or _old_headers(lines, place):
            below = lines[place:]
            own += _below_token(below)
            rest += below
            break
        if _QUOTE.match(line):
            _take_attribution(own, rest)
            rest.append(line)
        else:
            own.append(line)
    return "\n".join(own).strip("\n"), "\n".join(rest)


def _below_token(lines: list[str]) -> list[str]:
    """What stands below the token at the end of a mail that a link wrote: nobody's signature, but
    words that a cursor was left at."""
    place = next((n for n, line in enumerate(lines) if _TOKEN.search(line)), None)
    if place is None or not _SIGNATURE.fullmatch(lines[0]):
        return []
    return [line for line in lines[place + 1 :] if line.strip() and not _QUOTE.match(line)]


def _old_headers(lines: list[str], place: int) -> bool:
    """Whether the mail that is answered begins here, its headers first and without marks."""
    if not _SENDER.match(lines[place]):
        return False
    block = [line for line in lines[place : place + 8] if line.strip()]
    count = 0
    for line in block:
        if not _HEADER.match(f"{line} "):
            break
        count += 1
    return count >= _FEWEST_HEADERS


def _take_attribution(own: list[str], rest: list[str]) -> None:
    """The lines right before a quote that say whose it is; they end in a colon."""
    end = len(own)
    while end and not own[end - 1].strip():
        end -= 1
    last = own[end - 1].rstrip() if end else ""
    if not last.endswith(":"):
        return
    # Somebody may end words of their own so: whose a quote is, is told with a date, an address or
    # one of few verbs.
    if not re.search(r"[\d@]|(?i:wrote|writes|schrieb|schreibt)", "\n".join(own[-3:])):
        return
    begin = end - 1
    for place in range(end - 1, max(-1, end - 1 - _LONGEST_ATTRIBUTION), -1):
        if not own[place].strip():
            break
        if _BEGINS.match(own[place]):
            begin = place
            break
    rest += own[begin:]
    del own[begin:]


def _unflowed(lines: list[str]) -> list[str]:
    """Lines as they were before they were broken (RFC 3676, section 4)."""
    whole: list[str] = []
    going_on = False
    for line in lines:
        marks = len(line) - len(line.lstrip(">"))
        said = line[marks:].removeprefix(" ")
        soft = said.endswith(" ") and said != "-- "
        if going_on and whole and not marks and said != "-- ":
            whole[-1] += said
        else:
            whole.append(f"{'>' * marks} {said}" if marks else said)
        going_on = soft and not marks
    return whole


_BREAKS = frozenset({
    "address", "article", "blockquote", "br", "dd", "div", "dl", "dt", "h1", "h2", "h3", "h4", "hr",
    "li", "ol", "p", "pre", "section", "table", "td", "tr", "ul",
})  # fmt: skip
_UNSEEN = frozenset({"head", "script", "style", "template", "title", "noscript"})
_VOID = frozenset({
    "area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "wbr",
})  # fmt: skip
_MARKED = re.compile(
    r"""\b(?:class|id|type)\s*=\s*["']?[^"'<>]{0,80}"""
    r"(?:quote|cite|replyfwd|divrplyfwdmsg|original-?message)",
    re.I,
)
_MAILTO = re.compile(r"""href\s*=\s*["']?(mailto:[^"'\s<>]{0,3000})""", re.I)
_TAG = re.compile(r"<(/?)([A-Za-z][A-Za-z0-9:-]{0,20})([^<>]{0,4000})>|<[!?][^<>]{0,4000}>")


def words_of_html(page: str) -> tuple[str, str]:
    """The same from HTML: a block quote and what is marked as one are quoted.

    Every character is looked at a bounded number of times, however broken the page is.
    """
    page = _without_comments(page[:LONGEST_PAGE])
    reader = _Reader()
    end = 0
    for match in _TAG.finditer(page):
        reader.text(page[end : match.start()])
        end = match.end()
        if match[2]:
            reader.tag(match[2].casefold(), closes=bool(match[1]), attributes=match[3])
    reader.text(page[end:])
    words, rest = own_words("".join(reader.own))
    return words, f"{rest}\n{''.join(reader.quoted)}"


def _without_comments(page: str) -> str:
    kept, _, rest = page.partition("<!--")
    parts = [kept]
    while rest:
        _, found, rest = rest.partition("-->")
        if found:
            kept, _, rest = rest.partition("<!--")
            parts.append(kept)
    return "".join(parts)


class _Reader:
    """Text in the order of the page, the writer's own apart from what is quoted."""

    def __init__(self) -> None:
        self.own: list[str] = []
        self.quoted: list[str] = []
        self._within: list[list[str | int]] = []
        """Each open element that changes how its text is read: its name, and how many of that name
        stand open within it."""
        self._unseen = 0

    def tag(self, name: str, *, closes: bool, attributes: str) -> None:
        if name in _BREAKS:
            self._say("\n")
        mails_to = _MAILTO.search(attributes) if name == "a" and not closes else None
        if mails_to is not None:  # a token may stand in the link alone
            self.quoted.append(f" {unquote(html.unescape(mails_to[1]))} ")
        if name in _VOID:
            return
        if closes:
            self._close(name)
            return
        if self._within and self._within[-1][0] == name:
            self._within[-1][1] = int(self._within[-1][1]) + 1
            return
        quotes = name == "blockquote" or _MARKED.search(attributes) is not None
        if name not in _UNSEEN and not quotes:
            return
        if quotes and not self._within:
            # As a plain quote would stand there: the line before it is known for what it is.
            self.own.append("\n> \n")
        self._within.append([name, 0])
        self._unseen += name in _UNSEEN

    def _close(self, name: str) -> None:
        if not self._within or self._within[-1][0] != name:
            return
        if self._within[-1][1]:
            self._within[-1][1] = int(self._within[-1][1]) - 1
        else:
            self._within.pop()
            self._unseen -= name in _UNSEEN

    def text(self, data: str) -> None:
        if data:
            self._say(re.sub(r"\s+", " ", html.unescape(data)))

    def _say(self, text: str) -> None:
        if not self._unseen:
            (self.quoted if self._within else self.own).append(text)
