"""The digest as files in a folder, each there whole or not at all."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

from advisor.digest.clean import cleaned
from advisor.digest.mail import CALENDAR_FILE
from advisor.plan.model import Plan


def plan_json(plan: Plan) -> str:
    """The plan as `plan.json` has it: clean texts, two spaces in, a line break at its end."""
    return cleaned(plan).model_dump_json(by_alias=True, indent=2) + "\n"


def write_files(
    folder: Path, plan: Plan, *, text: str, html: str, mail: bytes, calendar: bytes = b""
) -> list[Path]:
    """Writes digest.txt, digest.html, digest.eml and plan.json, and digest.ics where there is
    anything for a calendar; makes the folder if need be.

    OSError as it comes: the caller knows what the folder is for.
    """
    contents: dict[str, bytes] = {
        "digest.txt": text.encode(),
        "digest.html": html.encode(),
        "digest.eml": mail,
        "plan.json": plan_json(plan).encode(),
    }
    if calendar:
        contents[CALENDAR_FILE] = calendar
    else:
        # Else an older digest's would stand beside this one, as if it were part of it.
        (folder / CALENDAR_FILE).unlink(missing_ok=True)
    return write_whole_files(folder, contents)


def write_texts(folder: Path, texts: Mapping[str, str]) -> list[Path]:
    """Writes texts by the name of their file, and makes the folder if need be. Raises as
    `write_files` does."""
    return write_whole_files(folder, {name: text.encode() for name, text in texts.items()})


def write_whole_files(folder: Path, contents: Mapping[str, bytes]) -> list[Path]:
    """Writes files by their names, each whole or not at all, and makes the folder if need be.

    OSError as it comes.
    """
    folder.mkdir(parents=True, exist_ok=True)
    for name, content in contents.items():
        _write_whole(folder / name, content)
    _sync_folder(folder)
    return [folder / name for name in contents]


def _write_whole(path: Path, content: bytes) -> None:
    """A crash leaves the old file or the new one; a second writer has a file of its own."""
    draft = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        with draft.open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        draft.replace(path)
    finally:
        draft.unlink(missing_ok=True)


def _sync_folder(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
