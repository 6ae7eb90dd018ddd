"""The house holds its shape: who may import whom, what stays pure, how large a module grows."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

import advisor

ROOT = Path(advisor.__file__).resolve().parent
FLOORS = (
    "language", "series", "site", "turf", "conditions", "rulebook", "plan",
    "weather", "store", "digest", "post", "service", "cli",
)  # fmt: skip
"""The packages from the ground up; each imports only from itself and from those before it."""

PURE = FLOORS[1:7]
"""No clock, no network, no disk, no logging. The language below them reads its own catalogue, as an
import reads a module, and Babel its tables."""

SERVICE_FLOOR = FLOORS.index("service")

IMPURE = frozenset({
    "os", "pathlib", "io", "socket", "http", "urllib", "subprocess", "sqlite3", "logging",
    "tempfile", "shutil", "random", "secrets", "uuid", "time", "threading", "asyncio",
    "multiprocessing", "ssl", "smtplib", "imaplib", "email", "fcntl", "glob", "sys", "signal",
    "httpx", "sqlite_utils", "jinja2", "apscheduler", "icalendar", "imap_tools", "resvg_py",
})  # fmt: skip
"""Modules of the world outside, none of which a pure floor may know."""

CLOCKS = frozenset({"now", "utcnow", "today"})
"""Methods of date and datetime that read the clock."""

LINES_AT_MOST = 400

MODULES = sorted(path for path in ROOT.rglob("*.py") if "shipped" not in path.parts[:-1])


def dotted(path: Path) -> str:
    parts = ["advisor", *path.relative_to(ROOT).with_suffix("").parts]
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def floor(module: str) -> str:
    """The package of a dotted name inside advisor; the empty text for advisor itself."""
    parts = module.split(".")
    return parts[1] if len(parts) > 1 else ""


def imported(path: Path) -> Iterator[tuple[int, str]]:
    """Every module that a file imports, with its line, absolute or relative, at any depth."""
    module = dotted(path)
    package = module if path.name == "__init__.py" else module.rpartition(".")[0]
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield node.lineno, alias.name
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                above = package.split(".")[: len(package.split(".")) - node.level + 1]
                base = ".".join([*above, base] if base else above)
            # `from advisor import plan` names a package, `from advisor.plan import walk` does not.
            if base == "advisor":
                for alias in node.names:
                    yield node.lineno, f"{base}.{alias.name}"
            else:
                yield node.lineno, base


def misplaced(module: str, wanted: str) -> str | None:
    """Why a module of advisor may not import another; None where it may."""
    here, there = floor(module), floor(wanted)
    if there in ("shipped", ""):
        return None if here in FLOORS[SERVICE_FLOOR:] else "only the service and above know disk"
    if there == "__version__":
        allowed = here == "weather" or here in FLOORS[SERVICE_FLOOR:]
        return None if allowed else "the version is for the weather client and the shell"
    if there not in FLOORS:
        return f"no floor is called {there}"
    if here in FLOORS and FLOORS.index(there) > FLOORS.index(here):
        return f"{there} lies above {here}"
    return None


def problems_of_floors() -> Iterator[str]:
    for path in MODULES:
        module = dotted(path)
        if not floor(module) or module == "advisor.shipped":
            continue
        for line, name in imported(path):
            if name.split(".")[0] == "advisor" and (why := misplaced(module, name)):
                yield f"{path.relative_to(ROOT)}:{line} imports {name}: {why}"


def test_every_package_is_a_floor():
    """A new package has to be given its place in the order first."""
    found = {path.parent.name for path in ROOT.glob("*/__init__.py")}
    assert found == set(FLOORS)


def test_imports_go_down():
    """A package imports only from those below it."""
    assert list(problems_of_floors()) == []


def test_import_check_sees():
    """The check itself refuses an import that goes up, one of the disk, and an unknown floor."""
    assert misplaced("advisor.site.place", "advisor.turf.air")
    assert misplaced("advisor.plan.fold", "advisor.shipped")
    assert misplaced("advisor.store.log", "advisor.nowhere")
    assert misplaced("advisor.turf.air", "advisor.site.words") is None


@pytest.mark.parametrize("package", PURE)
def test_pure(package: str):
    """The pure floors import nothing of the world, read no clock and open no file."""
    found = []
    for path in sorted((ROOT / package).rglob("*.py")):
        place = path.relative_to(ROOT)
        found += [
            f"{place}:{line} imports {name}"
            for line, name in imported(path)
            if name.split(".")[0] in IMPURE
        ]
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call):
                found += [f"{place}:{node.lineno} {why}" for why in impure_call(node)]
    assert found == []


def impure_call(node: ast.Call) -> Iterator[str]:
    called = node.func
    if isinstance(called, ast.Name) and called.id in ("open", "print", "input", "exec", "eval"):
        yield f"calls {called.id}()"
    if isinstance(called, ast.Attribute) and called.attr in CLOCKS and not isinstance(
        called.value, ast.Call
    ):  # fmt: skip
        owner = called.value
        name = owner.id if isinstance(owner, ast.Name) else getattr(owner, "attr", "")
        if name in ("date", "datetime"):
            yield f"reads the clock by {name}.{called.attr}()"


@pytest.mark.parametrize(
    "text", ["datetime.now(UTC)", "date.today()", "open('x')", "dt.date.today()"]
)
def test_pure_check_sees(text: str):
    """The check itself sees a clock that is read, and a file that is opened."""
    call = ast.parse(text, mode="eval").body
    assert isinstance(call, ast.Call)
    assert list(impure_call(call))


def test_modules_are_small():
    """No module is longer than 400 lines."""
    long = {
        str(path.relative_to(ROOT)): lines
        for path in MODULES
        if (lines := len(path.read_text(encoding="utf-8").splitlines())) > LINES_AT_MOST
    }
    assert long == {}


def test_names_say_something():
    """No module is called utils or the like."""
    vague = {"utils", "util", "helpers", "helper", "misc", "common"}
    assert [dotted(path) for path in MODULES if path.stem in vague] == []


def test_the_language_reads_its_own_catalogue_alone():
    """The lowest floor knows nothing of the world but the file of its own package."""
    found = {
        (path.name, name)
        for path in (ROOT / "language").rglob("*.py")
        for _, name in imported(path)
        if name.split(".")[0] in IMPURE | {"importlib"}
    }
    assert found == {("words.py", "importlib")}


@pytest.mark.parametrize("package", FLOORS)
def test_packages_speak(package: str):
    """Every package says what it is for, and its __init__ imports nothing."""
    tree = ast.parse((ROOT / package / "__init__.py").read_text(encoding="utf-8"))
    assert ast.get_docstring(tree)
    assert not [node for node in ast.walk(tree) if isinstance(node, ast.Import | ast.ImportFrom)]
