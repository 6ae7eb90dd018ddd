"""The common forms of ordinances that stand in `ordinances/`, as tables to lay into a site file."""

from __future__ import annotations

from pathlib import Path

FOLDER = Path(__file__).with_name("ordinances")

NAMES = tuple(sorted(path.stem for path in FOLDER.glob("*.toml")))


def ordinance(name: str) -> str:
    """The text of one of them."""
    return (FOLDER / f"{name}.toml").read_text(encoding="utf-8")
