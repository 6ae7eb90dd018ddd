"""Looks for rule text that breaks the reader, led by which of its lines have run.

    python tests/fuzz/fuzz_rulebook.py -max_total_time=60
    python tests/fuzz/fuzz_rulebook.py -runs=20000

The options are libFuzzer's. It starts from the shipped rules and knows the words of the language.
An exception that is none of the project's own stops it: it prints the text, keeps it in a file
`crash-…` and ends with an exit code that is not 0. A text takes up to 4 kB.
"""

from __future__ import annotations

import sys
import tempfile
from itertools import pairwise
from pathlib import Path

import atheris

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "unit")]

with atheris.instrument_imports(include=["advisor.rulebook", "advisor.site.problem"]):
    import rulebook_exercise

LONGEST = 4096

OWN = "\n# own\n"
"""What follows this line in a text is the owner's file, laid over what stands before it."""


def one_input(data: bytes) -> None:
    """Do with a text all that is done with rule text."""
    text, _, own = data.decode("utf-8", "surrogateescape").partition(OWN)
    rulebook_exercise.exercise(text, own or None)


def starts(text: str) -> list[str]:
    """A file's rules, each with its first trial and the settings that it names."""
    parts = [part for part in text.split("\n\n") if part.strip()]
    settings = [line for line in text.split("\n") if line.startswith("setting")]
    found = []
    for part, follows in zip(parts, [*parts[1:], ""], strict=True):
        if part.startswith(("opens", "holds", "waters", "notes")):
            named = [line for line in settings if line.split()[1] in part]
            found.append("\n".join([*named, part, follows if "trial" in follows else ""]))
    return found


def write_corpus(folder: Path) -> None:
    """The shipped rules as texts to begin with, alone and each laid over the one before it."""
    rules = [rule for text in rulebook_exercise.shipped_texts() for rule in starts(text)]
    for number, (before, rule) in enumerate(pairwise(rules)):
        (folder / f"{number}").write_text(rule, encoding="utf-8")
        (folder / f"{number}-over").write_text(f"{before}{OWN}{rule}", encoding="utf-8")


def write_dictionary(path: Path) -> None:
    """The language's words as libFuzzer reads them: quoted, with other bytes as `\\xNN`."""
    lines = []
    for word in rulebook_exercise.DICTIONARY:
        kept = "".join(
            chr(byte) if 32 <= byte < 127 and chr(byte) not in '"\\' else f"\\x{byte:02X}"
            for byte in f" {word} ".encode()
        )
        lines.append(f'"{kept}"')
    path.write_text("\n".join(lines) + "\n", encoding="ascii")


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        corpus, words = Path(folder) / "corpus", Path(folder) / "words"
        corpus.mkdir()
        write_corpus(corpus)
        write_dictionary(words)
        options = [f"-dict={words}", f"-max_len={LONGEST}", "-timeout=20", "-rss_limit_mb=2048"]
        atheris.Setup([sys.argv[0], *options, *sys.argv[1:], str(corpus)], one_input)
        atheris.Fuzz()


if __name__ == "__main__":
    main()
