"""`swardcast init DIR --demo`: the demo as a folder of one's own."""

from __future__ import annotations

import argparse
import shutil
import stat
import tempfile
from pathlib import Path

from advisor.cli.exits import Exit
from advisor.cli.say import err, out
from advisor.shipped import shipped

LEFT_OUT = shutil.ignore_patterns(".*", "*.py", "__pycache__", "making")
"""The scripts that make the recorded weather, and what tools leave behind; a site is data."""


def run(arguments: argparse.Namespace) -> int:
    """Copy the demo to a folder that does not exist yet; all of it, or nothing."""
    target = Path(arguments.dir)
    if target.exists():
        err(f"{target} exists already; name a folder that does not, and nothing is overwritten.")
        return Exit.PROBLEMS
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=target.parent, prefix=".swardcast-") as beside:
            whole = Path(beside) / "site"
            # Contents only: where the program lies read-only, its owner's copy must not.
            shutil.copytree(
                shipped("demo_site"), whole, ignore=LEFT_OUT, copy_function=shutil.copyfile
            )
            for folder in (whole, *(path for path in whole.rglob("*") if path.is_dir())):
                folder.chmod(folder.stat().st_mode | stat.S_IRWXU)
            whole.rename(target)
    except OSError as error:
        why = error.strerror or "not all of the demo could be copied"
        err(f"{target} cannot be written: {why}.")
        return Exit.PROBLEMS
    out(f"The demo lies in {target}. Its digest: swardcast digest {target}")
    return Exit.DONE
