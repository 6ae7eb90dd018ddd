"""Which texts of the owner's rule files are in force: as they stand, or as they last read well.

A file with a mistake is replaced by its last good copy. Where the copy no longer goes together
with the other files, all of them are replaced by theirs; where that does not help either, or a
broken file has no copy, everything that is put down is held. What a file that never read well
meant to hold is not known, so no older copy of the others makes up for it.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from advisor.language.words import tell
from advisor.rulebook.book import Rulebook, RuleFile
from advisor.rulebook.read import read_rulebook
from advisor.site.problem import Problem


@dataclass(frozen=True)
class OwnFile:
    """An owner's rule file as it stands. `text` is None where it cannot be read; `fault` says
    why."""

    name: str
    text: str | None
    fault: str = ""


@dataclass(frozen=True)
class Copy:
    """A file as it last read without a mistake; `kept` is the day on which it was put by, in
    words."""

    text: str
    kept: str


@dataclass(frozen=True)
class Layers:
    """The rules in force.

    `replaced` names the files whose copy is in force. `sound`: what is in force has no mistake,
    so the files that are not replaced are worth keeping. The book's problems are those of the
    files as they stand.
    """

    book: Rulebook
    replaced: frozenset[str]
    sound: bool


def layered(
    shipped: Sequence[RuleFile],
    own: Sequence[OwnFile],
    copies: Callable[[], Mapping[str, Copy]],
) -> Layers:
    """Choose and read the texts in force, the shipped ones without their trials.

    `copies` are by file name, asked for only if needed.
    """
    names = frozenset(file.name for file in own)
    broken = {file.name for file in own if file.text is None}
    kept = copies() if broken else {}
    standing = _read(shipped, own, kept, broken)
    if not broken and not _mistakes(standing):
        return Layers(standing, frozenset(), sound=True)
    broken |= names & {problem.file for problem in _mistakes(standing)}
    kept = kept or copies()
    told = [
        *(Problem(f.name, 0, 0, f"the file {f.fault}") for f in own if f.text is None),
        *(p for p in standing.problems if p.file not in {_copied(name) for name in names}),
    ]
    lacking = ", ".join(sorted(broken - kept.keys()))
    if lacking:
        why = tell("no good copy of {files} was kept", files=lacking)
    else:
        why = tell("no good copy of them was kept")
    for replaced in (frozenset(broken), names):
        if not replaced or not replaced <= kept.keys():
            continue
        book = _read(shipped, own, kept, replaced)
        mistakes = _mistakes(book)
        if not mistakes:
            note = _in_force(replaced, kept, alone=replaced == broken)
            book = replace(book, problems=_noted(told, broken, note))
            return Layers(book, replaced, sound=True)
        first = mistakes[0]
        why = tell(
            "the last good copies do not read well either ({file}, line {line}: {what})",
            file=first.file,
            line=first.line,
            what=first.what,
        )
    held = tell("Until this is mended, everything that is put down is held: {why}.", why=why)
    problems = _noted(told, broken, lambda _name: held)
    return Layers(replace(standing, problems=problems, holds_everything=True), frozenset(), False)


def _read(
    shipped: Sequence[RuleFile],
    own: Sequence[OwnFile],
    kept: Mapping[str, Copy],
    replaced: Collection[str],
) -> Rulebook:
    """The book with the copies of some files in their place; a file without a text is left out."""
    files = []
    for file in own:
        if file.name in replaced and file.name in kept:
            files.append(RuleFile(_copied(file.name), kept[file.name].text))
        elif file.text is not None:
            files.append(RuleFile(file.name, file.text))
    return read_rulebook(shipped, own=files, trials=False)


def _copied(name: str) -> str:
    """What a copy is called in messages: its lines are not those of the file that stands there."""
    return f"last good copy of {name}"


def _mistakes(book: Rulebook) -> list[Problem]:
    return [problem for problem in book.problems if not problem.warning]


def _in_force(
    replaced: Collection[str], kept: Mapping[str, Copy], *, alone: bool
) -> Callable[[str], str]:
    """What to say of a broken file, by its name."""
    if alone:
        return lambda name: tell(
            "Until the file is mended, its copy of {day} is in force.", day=kept[name].kept
        )
    copies = ", ".join(
        tell("{file} of {day}", file=name, day=kept[name].kept) for name in sorted(replaced)
    )
    said = tell(
        "Until this is mended, the last good copies of all your rule files are in force: {copies}.",
        copies=copies,
    )
    return lambda _name: said


def _noted(
    problems: Sequence[Problem], broken: Collection[str], note: Callable[[str], str]
) -> tuple[Problem, ...]:
    """The problems, with a note beside the first mistake of each broken file."""
    left = set(broken)
    found = []
    for problem in problems:
        if problem.file in left and not problem.warning:
            left.discard(problem.file)
            problem = replace(problem, hint=f"{note(problem.file)}\n{problem.hint}".strip())
        found.append(problem)
    return tuple(found)
