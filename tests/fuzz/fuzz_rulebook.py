"""Looks for rule text that breaks the reader, led by which of its lines have run.

    python tests/fuzz/fuzz_rulebook.py -max_total_time=60
    python tests/fuzz/fuzz_rulebook.py -runs=20000

The options are libFuzzer's. It starts from the shipped rules and knows the words of the language.
An exception that is none of the project's own stops it: the text is kept in a file `crash-…` and
the exit code is not 0. With the name of such a file it is tried again.
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


def write_corpus(folder: Path) -> None:
    """The shipped rules as texts to begin with, alone and each laid over the one before it."""
    for number, (before, rule) in enumerate(pairwise(rulebook_exercise.shipped_rules())):
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
        given = sys.argv[1:]
        again = any(Path(word).is_file() for word in given)
        begin = [] if again else [str(corpus)]
        atheris.Setup([sys.argv[0], *options, *given, *begin], one_input)
        atheris.Fuzz()


if __name__ == "__main__":
    main()
