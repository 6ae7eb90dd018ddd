"""The README's table of science, written from the published values and ours.

python tests/published/science.py      # writes it into README.md
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from itertools import groupby
from pathlib import Path

HERE = Path(__file__).parent
README = HERE.parents[1] / "README.md"
BEGIN, END = "<!-- science: made by tests/published/science.py -->", "<!-- end of science -->"

if __name__ == "__main__":
    sys.path[:0] = [str(HERE), str(HERE.parents[1])]

from collected import all_values  # noqa: E402
from published import READ, How, Published  # noqa: E402


def _number(row: Published, value: float) -> str:
    """Ours, with one digit more than the source prints, so that its rounding can be seen."""
    digits = max(0, -_exponent(row)) + 1
    return f"{value:.{digits}f}"


def _exponent(row: Published) -> int:
    return round(-len(row.printed.partition(".")[2]))


def _line(row: Published) -> str:
    ours = float(row.ours())
    unit = f" {row.unit}" if row.unit else ""
    off = f"{ours - row.value:+.{max(0, -_exponent(row)) + 1}f}"
    wider = f" ({row.why})" if row.why else ""
    return f"| {row.quantity} | {row.printed}{unit} | {_number(row, ours)} | {off}{wider} |"


def _tables(rows: Sequence[Published]) -> list[str]:
    lines = []
    for source, of_it in groupby(
        sorted(rows, key=lambda row: row.source.partition(",")[0].lower()),
        key=lambda row: row.source.partition(",")[0],
    ):
        lines += ["", f"**{source}**", "", "| quantity | published | ours | difference |"]
        lines += ["| --- | --- | --- | --- |"]
        for row in of_it:
            part = row.source.partition(", ")[2]
            named = f"{part}: {row.quantity}" if part else row.quantity
            lines.append(_line(row).replace(row.quantity, named, 1))
    return lines


def _folded(title: str, rows: Sequence[Published]) -> list[str]:
    return ["", f"<details><summary>{title}</summary>", *_tables(rows), "", "</details>"]


def section() -> str:
    """The section between its two marks."""
    rows = all_values()
    read = [row for row in rows if row.how is READ]
    sources = {row.source.partition(",")[0] for row in read}
    lines = [
        BEGIN,
        f"{len(read)} published values from {len(sources)} sources are met to the source's own"
        " rounding,",
        "or to a wider bound with its reason beside it.",
        *_folded(f"The {len(read)} values", read),
    ]
    apart = [row for row in rows if row.how is not READ]
    for how in How:
        of_it = [row for row in apart if row.how is how]
        if of_it:
            lines += _folded(f"Not counted: {len(of_it)} values {how}", of_it)
    return "\n".join([*lines, "", END])


def with_section(text: str) -> str:
    """A README's text with the section as it should be."""
    before, _, rest = text.partition(BEGIN)
    _, _, after = rest.partition(END)
    return before + section() + after


if __name__ == "__main__":
    README.write_text(with_section(README.read_text(encoding="utf-8")), encoding="utf-8")
