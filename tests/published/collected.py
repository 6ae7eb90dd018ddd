"""All published values of this folder, in the order of their files and rows."""

from __future__ import annotations

import importlib.util
from pathlib import Path

from published import Published

HERE = Path(__file__).parent


def all_values() -> list[Published]:
    """The rows of every `values_*.py` beside this file."""
    rows: list[Published] = []
    for path in sorted(HERE.glob("values_*.py")):
        spec = importlib.util.spec_from_file_location(path.stem, path)
        assert spec is not None and spec.loader is not None
        module = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(module)
        rows += module.VALUES
    return rows
