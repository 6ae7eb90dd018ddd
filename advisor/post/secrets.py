"""A password, from where the owner keeps it, and a key of our own. Neither is shown or logged."""

from __future__ import annotations

import contextlib
import os
import re
import secrets
import shlex
import stat
import subprocess
from collections.abc import Mapping, Sequence
from pathlib import Path

LONGEST = 4096
"""Octets that a password may have."""

COMMAND_SECONDS = 30.0
"""Seconds that a command may take to print a password."""


KEY_BYTES = 32
"""Octets of a key that this program makes for itself."""


class SecretError(Exception):
    """A password that cannot be read; the text says which, and what to mend."""


def read_password(
    *,
    credential: str | None = None,
    file: str | Path | None = None,
    command: str | Sequence[str] | None = None,
    env: str | None = None,
    environ: Mapping[str, str] | None = None,
) -> str:
    """The password from exactly one place: the name of a systemd credential, a file, a command
    (run without a shell), or the name of an environment variable. SecretError if it is not there.
    """
    given = [source for source in (credential, file, command, env) if source]
    if len(given) != 1:
        raise SecretError(
            "Name one place for the password: a credential, a file, a command or a variable; "
            f"{len(given)} are named."
        )
    surroundings = os.environ if environ is None else environ
    if credential:
        return _from_credential(credential, surroundings)
    if file:
        return _from_file(Path(file).expanduser())
    if command:
        return _from_command(command)
    return _from_variable(str(env), surroundings)


def own_key(path: Path) -> bytes:
    """The key in a file of our own, which is made where it is not there yet: whole or not at all,
    for this user alone, and the same for all that ask at the same time.

    Its loss costs what was signed with it. SecretError where it cannot be made or read, or where it
    is not what was made.
    """
    what = f"the key {path.name}"
    if not os.path.lexists(path):
        _make_key(path, what)
    key = _read(path, what, private=True)
    if len(key) != KEY_BYTES:
        raise SecretError(
            f"{_capital(what)} is damaged; delete {path}, and links in older mails end with it."
        )
    return key


def _make_key(path: Path, what: str) -> None:
    fresh = path.with_name(f".{path.name}.{os.getpid()}.{secrets.token_hex(4)}")
    try:
        handle = os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC, 0o600)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(secrets.token_bytes(KEY_BYTES))
                file.flush()
                os.fsync(file.fileno())
            with contextlib.suppress(FileExistsError):
                os.link(fresh, path)  # unlike a rename it never replaces what another has made
        finally:
            fresh.unlink()
        folder = os.open(path.parent, os.O_RDONLY | os.O_DIRECTORY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)
    except OSError as error:
        raise SecretError(f"{_capital(what)} cannot be made: {error.strerror}.") from None


def _from_credential(name: str, environ: Mapping[str, str]) -> str:
    what = f"the credential “{name}”"
    if not re.fullmatch(r"[A-Za-z0-9_-][A-Za-z0-9._-]*", name):
        raise SecretError(f"“{name}” is not a name of a credential: letters, digits, . _ - only.")
    folder = environ.get("CREDENTIALS_DIRECTORY")
    if not folder:
        raise SecretError(
            f"There is no {what[4:]}: this is not run by a systemd unit with LoadCredential=."
        )
    # systemd sets who may read it by an access list, which shows as group bits: no mode check.
    return _checked(_read(Path(folder) / name, what, private=False), what)


def _from_file(path: Path) -> str:
    what = f"the password file {path.name}"
    return _checked(_read(path, what, private=True), what)


def _from_command(command: str | Sequence[str]) -> str:
    try:
        words = shlex.split(command) if isinstance(command, str) else list(command)
    except ValueError as error:
        raise SecretError(f"The command for the password cannot be read: {error}.") from None
    if not words:
        raise SecretError("The command for the password is empty.")
    what = f"the password command {Path(words[0]).name}"
    try:
        done = subprocess.run(
            words,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            timeout=COMMAND_SECONDS,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise SecretError(
            f"{_capital(what)} gave no answer in {COMMAND_SECONDS:.0f} seconds."
        ) from None
    except OSError as error:
        raise SecretError(f"{_capital(what)} cannot be run: {error.strerror}.") from None
    if done.returncode:
        raise SecretError(f"{_capital(what)} ended with {done.returncode}; run it by hand.")
    return _checked(done.stdout, what)


def _from_variable(name: str, environ: Mapping[str, str]) -> str:
    what = f"the environment variable {name}"
    if name not in environ:
        raise SecretError(f"{_capital(what)} is not set.")
    return _checked(environ[name].encode("utf-8", "surrogateescape"), what)


def _read(path: Path, what: str, *, private: bool) -> bytes:
    try:
        with path.open("rb") as file:
            # The open file is asked, not the path: nobody can swap it in between.
            state = os.fstat(file.fileno())
            if not stat.S_ISREG(state.st_mode):
                raise SecretError(f"{_capital(what)} is not a file.")
            if private and state.st_mode & 0o077:
                raise SecretError(
                    f"{_capital(what)} may be read by others (mode {state.st_mode & 0o777:o}); "
                    "take that from them: chmod 600."
                )
            return file.read(LONGEST + 2)
    except OSError as error:
        raise SecretError(f"{_capital(what)} cannot be read: {error.strerror}.") from None


def _checked(content: bytes, what: str) -> str:
    try:
        password = content.decode()
    except UnicodeDecodeError:
        raise SecretError(f"{_capital(what)} does not hold UTF-8 text.") from None
    password = password.removesuffix("\n").removesuffix("\r")
    if not password:
        raise SecretError(f"{_capital(what)} is empty.")
    if len(content) > LONGEST:
        raise SecretError(f"{_capital(what)} is longer than {LONGEST} octets: is it the right one?")
    if not password.isprintable():
        raise SecretError(f"{_capital(what)} must hold the password alone, on one line.")
    return password


def _capital(what: str) -> str:
    return what[0].upper() + what[1:]
