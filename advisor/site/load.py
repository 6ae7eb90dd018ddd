"""All files of a site, from their texts: everything that can be read, and every mistake at once."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from advisor.site.journal import Journal, read_journal
from advisor.site.law_sense import check_banned
from advisor.site.place import Site
from advisor.site.problem import Problem
from advisor.site.reading import Raw, in_order, read_toml
from advisor.site.sense import check_products, check_site
from advisor.site.shape import check_shape
from advisor.site.shelf import Shelf
from advisor.site.spreaders import mismatches
from advisor.site.under_law import under_law
from advisor.site.watched import unwatched

SITE_FILE = "site.toml"
SHELF_FILE = "shelf.toml"
JOURNAL_FILE = "journal.txt"
ANSWERS_FILE = "answers.txt"

_LAWN_WORD = re.compile(r"^[0-9-]{10}[ \t]+(?!all\b)([a-z0-9-]+)", re.MULTILINE)
_NAME_LINE = re.compile(r"^[ \t]*name[ \t]*=[ \t]*\"([a-z0-9-]+)\"", re.MULTILINE)


@dataclass(frozen=True)
class SiteFiles:
    """What the owner wrote. `site` is None where site.toml has an error; a product with an error
    is left off the shelf; a line of the journal that cannot be read is kept as unreadable."""

    site: Site | None
    shelf: Shelf
    journal: Journal
    problems: tuple[Problem, ...]

    @property
    def errors(self) -> tuple[Problem, ...]:
        """The problems that are not mere warnings."""
        return tuple(problem for problem in self.problems if not problem.warning)


def read_site(texts: Mapping[str, str], *, today: date | None = None) -> SiteFiles:
    """Read a site's files from their texts, by file name.

    `today` is the date after which a line of the journal cannot be a fact yet; None asks nothing.
    Nothing that stands in a text makes this raise.
    """
    problems: list[Problem] = []
    shelf = _read_shelf(texts, problems)
    site, names = _read_site_file(texts, problems, shelf)
    lines = {name: texts[name] for name in (JOURNAL_FILE, ANSWERS_FILE) if name in texts}
    # Where site.toml gives no lawns, the journal's own mistakes can still be told.
    lawns = names or tuple(dict.fromkeys(_LAWN_WORD.findall("\n".join(lines.values()))))
    journal = read_journal(lines, lawns=lawns, shelf=shelf, today=today)
    problems += journal.problems
    if site is not None:
        problems += mismatches(site, journal, shelf)
        problems += unwatched(site, journal, SITE_FILE, texts[SITE_FILE])
    return SiteFiles(site, shelf, journal, in_order(problems))


def _read_site_file(
    texts: Mapping[str, str], problems: list[Problem], shelf: Shelf
) -> tuple[Site | None, tuple[str, ...]]:
    """The site, and the names of its lawns as far as they can be told."""
    if SITE_FILE not in texts:
        problems.append(
            Problem(SITE_FILE, 0, 0, "the file is missing", "A site is a folder that has it.")
        )
        return None, ()
    raw = read_toml(SITE_FILE, texts[SITE_FILE])
    if not raw.data and raw.problems:
        problems += raw.problems
        return None, ()
    raw.as_array("watering")
    site = check_shape(Site, raw.data, raw)
    names = check_site(raw)
    check_banned(raw, {active for product in shelf.products for active in product.actives})
    problems += raw.problems
    return (None if _has_error(raw) or site is None else under_law(site)), names


def _read_shelf(texts: Mapping[str, str], problems: list[Problem]) -> Shelf:
    if SHELF_FILE not in texts:
        problems.append(
            Problem(
                SHELF_FILE,
                0,
                0,
                "the file is missing",
                "Without a shelf nothing can be put down.",
                warning=True,
            )
        )
        return Shelf()
    raw = read_toml(SHELF_FILE, texts[SHELF_FILE])
    shelf = check_products(raw)
    problems += raw.problems
    if not raw.data and raw.problems:
        return Shelf((), tuple(dict.fromkeys(_NAME_LINE.findall(texts[SHELF_FILE]))))
    return shelf


def _has_error(raw: Raw) -> bool:
    return any(not problem.warning for problem in raw.problems)
