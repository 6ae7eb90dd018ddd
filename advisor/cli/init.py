"""`swardcast init DIR --demo`: the demo as a folder of one's own."""

from __future__ import annotations

import argparse
import shutil
import tempfile
from pathlib import Path

from advisor.cli.exits import Exit
from advisor.cli.say import err, out
from advisor.shipped import shipped

LEFT_OUT = shutil.ignore_patterns("*.py", "__pycache__", "making")
"""The scripts that make the recorded weather stay behind; a site folder is data."""


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
            shutil.copytree(shipped("demo_site"), whole, ignore=LEFT_OUT)
            whole.rename(target)
    except OSError as error:
        err(f"{target} cannot be written: {error.strerror}.")
        return Exit.PROBLEMS
    out(f"The demo lies in {target}. Its digest: swardcast digest {target}")
    return Exit.DONE
