"""The digest as HTML for a mail: one column, inline styles, no script and nothing to load.

Every text is a value of the view and is escaped; templates come from this package only.
"""

from __future__ import annotations

import quopri
import re

from markupsafe import Markup, escape

from advisor.digest import view as words
from advisor.digest.answering import Answering
from advisor.digest.parts import DigestView
from advisor.digest.templating import template
from advisor.language.words import tell
from advisor.plan.model import Plan

BUDGET = 60_000
"""Octets that the HTML part may have as it travels; some readers cut what is much longer."""

DETAILS = ("full", "brief", "short", "bare")
"""How much is told. What goes first is the evidence for waits and for later work, then how the
lawns stand and where things come from, then waits and reasons: what remains is what to do."""

_UNBROKEN = re.compile(
    r"\(?\b\d[\d.]*-\d[\d.]*-\d[\d.]*\b\)?"
    r"|\b(?:Mon|Tue|Wed|Thu|Fri|Sat|Sun) (?:[A-Z][a-z]{2} \d{1,2}|\d{1,2} [A-Z][a-z]{2})\b"
    r"|\b\d\d:\d\d to \d\d:\d\d\b"
)


def render_html(plan: Plan, answering: Answering | None = None) -> str:
    """The digest of `plan` as one HTML document, at most `BUDGET` octets once encoded.

    A digest that is too long says less, in steps, and says that it does; verdict, day, hours,
    dose, steps and cautions are the last to go.
    """
    digest = words.view(plan, answering)
    for detail in DETAILS:
        page = _render(digest, detail, len(digest.doing))
        if encoded_size(page) <= BUDGET:
            return page
    shown = len(digest.doing)
    while encoded_size(page) > BUDGET and shown:
        shown //= 2
        page = _render(digest, DETAILS[-1], shown)
    return page


def encoded_size(page: str) -> int:
    """Octets of `page` in UTF-8 and quoted-printable."""
    return len(quopri.encodestring(page.encode()))


def _render(digest: DigestView, detail: str, shown: int) -> str:
    page = template("digest.html.j2", _unbroken).render(
        digest=digest,
        detail=detail,
        doing=digest.doing[:shown],
        left_out=len(digest.doing) - shown,
        nothing=words.NONE,
        heard_title=tell(words.HEARD_TITLE),
        ask_title=words.ASK_TITLE,
        ask_why=words.ASK_WHY,
    )
    # Indentation is for whoever reads the template; the mail has a size to keep.
    return re.sub(r"\s*\n\s*", "\n", page).strip() + "\n"


def _unbroken(text: str) -> Markup:
    """`text`, escaped; an analysis such as 24-0-6, a day and its hours are not broken."""
    return Markup(
        _UNBROKEN.sub(r'<span style="white-space:nowrap">\g<0></span>', str(escape(text)))
    )
