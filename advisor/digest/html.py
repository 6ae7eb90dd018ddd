"""The digest as HTML for a mail: one column, inline styles, no script and nothing to load.

Every text is a value of the view and is escaped; templates come from this package only.
"""

from __future__ import annotations

import quopri
import re
from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined, Template
from markupsafe import Markup, escape

from advisor.digest import view as words
from advisor.digest.parts import DigestView
from advisor.plan.model import Plan

BUDGET = 60_000
"""Octets that the HTML part may have as it travels; some readers cut what is much longer."""

FULL, BRIEF_WAITS, NO_EVIDENCE, NO_CONDITIONS, BARE = range(5)
"""How much is told. What goes first is the evidence for a wait, then the other evidence, then
conditions and the names of rules, then reasons and waits: what remains is what to do."""

_ANALYSIS = re.compile(r"\(?\b\d[\d.]*-\d[\d.]*-\d[\d.]*\b\)?")


def render_html(plan: Plan) -> str:
    """The digest of `plan` as one HTML document, at most `BUDGET` octets once encoded.

    A digest that is too long says less, in steps, and says that it does; verdict, day, hours,
    dose, steps and cautions are the last to go.
    """
    digest = words.view(plan)
    for detail in range(FULL, BARE + 1):
        page = _render(digest, detail, len(digest.lawns))
        if encoded_size(page) <= BUDGET:
            return page
    shown = len(digest.lawns)
    while encoded_size(page) > BUDGET and shown:
        shown //= 2
        page = _render(digest, BARE, shown)
    return page


def encoded_size(page: str) -> int:
    """Octets of `page` in UTF-8 and quoted-printable."""
    return len(quopri.encodestring(page.encode()))


def _render(digest: DigestView, detail: int, lawns: int) -> str:
    page = _template().render(
        digest=digest,
        evidence_waits=detail < BRIEF_WAITS,
        evidence=detail < NO_EVIDENCE,
        conditions=detail < NO_CONDITIONS,
        reasons=detail < BARE,
        shortened=detail > FULL,
        shown=digest.lawns[:lawns],
        left_out=len(digest.lawns) - lawns,
        ask_title=words.ASK_TITLE,
        ask_why=words.ASK_WHY,
        defer=words.DEFER,
    )
    # Indentation is for whoever reads the template; the mail has a size to keep.
    return re.sub(r"\s*\n\s*", "\n", page).strip() + "\n"


@cache
def _template() -> Template:
    environment = Environment(
        loader=PackageLoader("advisor.digest"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["unbroken"] = _unbroken
    return environment.get_template("digest.html.j2")


def _unbroken(text: str) -> Markup:
    """`text`, escaped; an analysis such as 24-0-6 stays on one line."""
    return Markup(
        _ANALYSIS.sub(r'<span style="white-space:nowrap">\g<0></span>', str(escape(text)))
    )
