"""An answer by mail as lines of the journal, or as the reason why it was not understood.

Nothing is guessed. A line that cannot be read as a whole is told and not taken, and what would
count less than was advised (skipped, not yet, undo) is taken only where every line could be read.
Each line that is made is read back by the journal's own reader, with the whole journal about it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from advisor.language.words import tell
from advisor.site.answer_lines import Refusal, Speech, speak
from advisor.site.answer_scan import Line, Names, Says, plain, scan
from advisor.site.answer_vocabulary import FAREWELLS
from advisor.site.events import Advised
from advisor.site.facts import (
    Applied,
    Done,
    Entry,
    NotYet,
    Rain,
    Skipped,
    Watered,
    What,
)
from advisor.site.journal import Journal, check_line, read_journal, write_line
from advisor.site.load import ANSWERS_FILE
from advisor.site.problem import Problem
from advisor.site.shelf import Shelf
from advisor.site.words import WATERING

MOST_LINES = 12
"""Lines of an answer that are read."""

_COUNTS_LESS = frozenset({Says.SKIPPED, Says.NOT_YET, Says.UNDO})
_LONGEST_NAME = 3
"""Words of a name below a farewell."""

_FORWARDS = re.compile(r"(?i)^\s*(?:(?:re|aw|wg|fwd?|antw)\s*:\s*)+")
_SENT_FROM = re.compile(r"(?i)\s*(?:sent from|sent with|von mein\w* .*gesendet|gesendet von)\b")
_MARK = re.compile(r"# by mail ([0-9a-f]{16}) to (\S+)$")


@dataclass(frozen=True)
class About:
    """What an answer may be about: one advice, its words for people, and whether it still stands.

    `task_title` in small letters; `liquid`: its product is measured by volume. `next_issued`: the
    day on which newer advice of the same task and lawn went out; None where none did. `announced`:
    whether the ledger knows it.
    """

    advice: Advised
    lawn_title: str
    task_title: str
    product_title: str = ""
    liquid: bool = False
    next_issued: date | None = None
    announced: bool = True


@dataclass(frozen=True)
class Told:
    """One thing that an answer was taken to say, or why it was not taken."""

    text: str
    understood: bool


@dataclass(frozen=True)
class Understood:
    """Lines to append to the file of answers, whole, and what to tell of them."""

    lines: tuple[str, ...]
    told: tuple[Told, ...]


@dataclass
class Known:
    """What answers are held against: the site's lawns by name and title, its shelf, the texts of
    its journal, and the local day. `units`: us or metric."""

    lawns: Mapping[str, str]
    shelf: Shelf
    texts: Mapping[str, str]
    today: date
    units: str
    names: Names = field(default_factory=dict)
    """More phrases, see `answer_scan`: titles of tasks."""
    waiting: Callable[[Journal], frozenset[str]] | None = None
    """The ids of the advice that waits for an answer, as a journal stands; None where nobody
    knows."""

    def journal(self) -> Journal:
        return read_journal(self.texts, lawns=list(self.lawns), shelf=self.shelf, today=self.today)

    def phrases(self) -> Names:
        found = dict(self.names)
        for product in self.shelf.products:
            for name in (product.name, product.shown):
                found[plain(name)] = ("product", product.name)
        for name, title in self.lawns.items():
            found[plain(name)] = found[plain(title)] = ("lawn", name)
        found.pop("", None)
        return found


def is_taken(texts: Mapping[str, str], mail: str) -> bool:
    """Whether the file of answers has a line of the mail of that name."""
    return f"# by mail {mail} " in texts.get(ANSWERS_FILE, "")


def understand(
    words: str, subject: str, about: Sequence[About], mail: str, said_on: date, known: Known
) -> Understood:
    """What an answer says. `words` are the writer's own, `subject` has what to read where there are
    none; `mail` is the mail's name, which each line bears; `said_on` the local day of writing."""
    names = known.phrases()
    lines = _lines(words, said_on, names)
    if not any(not line.is_empty for line in lines):
        lines = _of_subject(subject, said_on, names)
    unread = [line for line in lines if line.wrong]
    saying = [line for line in lines if not line.wrong and not line.is_empty]
    less = frozenset(n for n, line in enumerate(saying) if _COUNTS_LESS & set(line.says))
    before = dict(known.texts)
    made, told, bad = _taken(saying, about, mail, said_on, known, less if unread else frozenset())
    if bad and less - bad:
        # What counts less is taken only from a mail of which every line is.
        known.texts = before
        made, told, _ = _taken(saying, about, mail, said_on, known, less - bad)
    if not (saying or unread):
        told.append(Told(tell("An answer had no words that could be read."), False))
    told += [_not_taken(line.text, line.wrong) for line in unread]
    return Understood(tuple(made), tuple(told))


def _taken(
    saying: Sequence[Line],
    about: Sequence[About],
    mail: str,
    said_on: date,
    known: Known,
    left: frozenset[int],
) -> tuple[list[str], list[Told], frozenset[int]]:
    """The lines that are made, what to tell, and the places of those that were refused. Those at
    the places `left` are not taken, since another line of the mail is not."""
    made: list[str] = []
    told: list[Told] = []
    refused = set()
    for place, line in enumerate(saying):
        if place in left:
            told.append(_not_taken(line.text, tell("another line of the same mail was not taken")))
            continue
        try:
            for speech in speak(line, about, said_on, known.today, _standing(known), known.units):
                made += _written(speech, mail, known, about)
                told.append(Told(speech.told, True))
        except Refusal as refusal:
            refused.add(place)
            told.append(_not_taken(line.text, str(refusal)))
    return made, told, frozenset(refused)


def _not_taken(words: str, why: str) -> Told:
    shown = words if len(words) <= 80 else f"{words[:79]}…"
    return Told(tell("“{words}” was not taken: {why}.", words=shown, why=why.rstrip(".")), False)


def _lines(words: str, said_on: date, names: Names) -> list[Line]:
    """Each line as it was read, without what programs and good manners put below."""
    found: list[Line] = []
    farewell = False
    written = [line for line in words.split("\n") if line.strip()]
    for text in written[:MOST_LINES]:
        if _SENT_FROM.match(text):
            continue
        line = scan(text, said_on, names)
        if not (farewell and line.wrong and _is_name(text, said_on, names)):
            found.append(line)
        farewell = plain(text).strip(" ,.!") in FAREWELLS
    if len(written) > MOST_LINES:
        found.append(Line("…", wrong=tell("it has more lines than are read")))
    return found


def _is_name(text: str, said_on: date, names: Names) -> bool:
    """Whether the line right below a farewell is somebody's name: few words of letters, none of
    which says anything by itself."""
    words = text.split()
    if len(words) > _LONGEST_NAME or any(sign.isdigit() for sign in text):
        return False
    alone = (scan(word, said_on, names) for word in words)
    return not any(line.says or line.days or line.lawns or line.tasks for line in alone)


def _of_subject(subject: str, said_on: date, names: Names) -> list[Line]:
    """The word that a link puts before the colon of its subject."""
    word, colon, _ = _FORWARDS.sub("", subject).partition(":")
    line = scan(word, said_on, names)
    return [line] if colon and line.says and not line.wrong else []


def _standing(known: Known) -> dict[str, list[tuple[str, str, str, date, What]]]:
    """By the id of an advice what answers to it stand: mail, lawn, text, day, and what it says."""
    texts = known.texts.get(ANSWERS_FILE, "").split("\n")
    found: dict[str, list[tuple[str, str, str, date, What]]] = {}
    for entry in known.journal().entries:
        if entry.file == ANSWERS_FILE:
            mark = _MARK.search(texts[entry.line - 1])
            if mark is not None:
                found.setdefault(mark[2], []).append(
                    (mark[1], entry.lawn, entry.text, entry.day, entry.what)
                )
    return found


def _written(speech: Speech, mail: str, known: Known, about: Sequence[About] = ()) -> list[str]:
    """The lines of a speech, once the journal has been read with them; what it says is known then.

    Raises Refusal, and then `known` is as it was.
    """
    before = dict(known.texts)
    _not_said_before(speech, known)
    waited = known.waiting(known.journal()) if known.waiting is not None else None
    # Known to the ledger, waiting no more, and not by any mail: somebody wrote it down.
    counts_by_hand = {
        one.advice.id
        for one in about
        if one.announced and one.advice.id not in (waited or ()) and not speech.reading
    } - _standing(known).keys()
    try:
        made = [_one_of(choices, speech.about, mail, known) for choices in speech.lines]
        if waited is not None and known.waiting is not None:
            _only_what_is_meant(speech, waited, known.waiting(known.journal()))
            if speech.about in counts_by_hand:
                raise Refusal(tell("the journal says already that it was done"))
        return made
    except Refusal:
        known.texts = before
        raise


def _only_what_is_meant(speech: Speech, before: frozenset[str], after: frozenset[str]) -> None:
    """Refusal where an answer would close other advice than the one it answers, or, of what counts
    less, where that waits for no answer: a line of the journal carries no id, and the ledger gives
    it to the newest that is open."""
    closed, less = before - after, _counts_less(speech)
    if closed - {speech.about}:
        raise Refusal(
            tell("older advice that waits for an answer would take it; answer that first")
        )
    if less and speech.about not in closed:
        raise Refusal(tell("what it answers waits for no answer any more"))


def _counts_less(speech: Speech) -> bool:
    return any(isinstance(what, Skipped | NotYet) for line in speech.lines for *_, what in line)


def _not_said_before(speech: Speech, known: Known) -> None:
    """Refusal where the rain or the water of a day and lawn is written down already: two people
    tell of one storm."""
    for choices in speech.lines:
        day, lawn, what = choices[0]
        if not (speech.reading and isinstance(what, Rain | Watered)):
            continue
        for entry in known.journal().entries:
            same = entry.day == day and (lawn == "all" or lawn in entry.lawns)
            given = isinstance(entry.what, Done) and entry.what.task == WATERING
            water = isinstance(what, Watered) and given
            if same and (type(entry.what) is type(what) or water):
                raise Refusal(tell("the journal has “{line}” of that day already", line=entry.text))


def _one_of(choices: Sequence[tuple[date, str, What]], about: str, mail: str, known: Known) -> str:
    """The first of the lines that the journal takes; Refusal with the reason for the first."""
    reasons = []
    for day, lawn, what in choices:
        try:
            line = write_line(day, lawn, what)
        except ValueError:
            raise Refusal(tell("a line of the journal cannot carry it")) from None
        whole = f"{line}  # by mail {mail} to {about}"
        why = _why_not(line, whole, known)
        if not why:
            ended = known.texts.get(ANSWERS_FILE, "")
            lead = "" if not ended or ended.endswith("\n") else "\n"
            known.texts = {**known.texts, ANSWERS_FILE: f"{ended}{lead}{whole}\n"}
            return whole
        reasons.append(why)
    raise Refusal(reasons[0])


def _why_not(line: str, whole: str, known: Known) -> str:
    """What the journal's reader has against a line; empty where nothing."""
    lawns = list(known.lawns)
    checked = check_line(line, lawns=lawns, shelf=known.shelf, today=known.today)
    if isinstance(checked, Problem):
        return checked.what
    entries = known.journal().entries
    if any((e.day, e.lawn, e.text) == (checked.day, checked.lawn, checked.text) for e in entries):
        return tell("the journal says so already")
    by_hand = _by_hand(checked, entries)
    if by_hand is not None:
        return tell("the journal has “{line}” of that day already", line=by_hand.text)
    ended = known.texts.get(ANSWERS_FILE, "").removesuffix("\n")
    longer = {**known.texts, ANSWERS_FILE: f"{ended}\n{whole}\n" if ended else f"{whole}\n"}
    had = {problem for problem in known.journal().problems if problem.line}
    journal = read_journal(longer, lawns=lawns, shelf=known.shelf, today=known.today)
    new = [problem for problem in journal.problems if problem.line and problem not in had]
    if new and new[0].warning:  # a line that counts once, and was undone
        return tell("the same line was undone before; write it into the journal")
    return new[0].what if new else ""


def _by_hand(new: Entry, entries: Sequence[Entry]) -> Entry | None:
    """What the owner wrote of the same product, lawn and day: it would count twice."""
    if not isinstance(new.what, Applied | Done) or new.what.written is None:
        return None
    same = (
        entry
        for entry in entries
        if entry.file != ANSWERS_FILE
        and entry.day == new.day
        and set(entry.lawns) & set(new.lawns)
        and isinstance(entry.what, Applied | Done)
        and entry.what.product == new.what.product
    )
    return next(same, None)
