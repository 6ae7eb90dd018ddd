"""The digest as HTML for a mail: one column, inline styles, no script and nothing to load.

Every text is a value of the view and is escaped; templates come from this package only.
"""

from __future__ import annotations

import quopri
import re
from collections.abc import Callable
from functools import cache, partial

from markupsafe import Markup, escape

from advisor.digest import view as words
from advisor.digest.answering import Answering
from advisor.digest.illustrated import by_content_id
from advisor.digest.parts import DigestView
from advisor.digest.strip import NONE
from advisor.digest.templating import template
from advisor.language.dates import month_text, weekday_text
from advisor.language.speaking import Language, speaking, spoken
from advisor.language.words import tell
from advisor.plan.model import Plan

BUDGET = 60_000
"""Octets that the HTML part may have as it travels; some readers cut what is much longer."""

DETAILS = ("full", "brief", "short", "bare")
"""How much is told. What goes first is the evidence for waits and for later work, then how the
lawns stand and where things come from, then waits and reasons: what remains is what to do."""


def render_html(plan: Plan, answering: Answering | None = None) -> str:
    """The digest of `plan` as one HTML document, at most `BUDGET` octets once encoded. Its pictures
    are those that `illustrated.inline` gives, by their content ids.

    A digest that is too long says less, in steps, and says that it does; verdict, day, hours,
    dose, steps and cautions are the last to go.
    """
    with speaking(plan.site.language):
        return _fitting(words.view(plan, answering), partial(by_content_id, plan))


def _fitting(digest: DigestView, address: Callable[[str], str]) -> str:
    for detail in DETAILS:
        page = _render(digest, address, detail, len(digest.doing))
        if encoded_size(page) <= BUDGET:
            return page
    shown = len(digest.doing)
    while encoded_size(page) > BUDGET and shown:
        shown //= 2
        page = _render(digest, address, DETAILS[-1], shown)
    return page


def encoded_size(page: str) -> int:
    """Octets of `page` in UTF-8 and quoted-printable."""
    return len(quopri.encodestring(page.encode()))


def _render(digest: DigestView, address: Callable[[str], str], detail: str, shown: int) -> str:
    page = template("digest.html.j2", unbroken).render(
        digest=digest,
        doing=digest.doing[:shown],
        detail=detail,
        left_out=len(digest.doing) - shown,
        nothing=NONE,
        address=address,
        heard_title=tell(words.HEARD_TITLE),
        ask_title=tell(words.ASK_TITLE),
    )
    # Indentation is for whoever reads the template; the mail has a size to keep.
    return with_units(re.sub(r"\s*\n\s*", "\n", page).strip()) + "\n"


_TEXT = re.compile(r">[^<]+<")

_NUMBER_AND_UNIT = re.compile(
    r"(?<=\d) (?=(?:%|°[CF]|in|ft²?|mm|cm|m²?|lb|oz|fl oz|gal|kg|g|L|mL|mph|km/h|min)(?![\w]))"
)


def with_units(page: str) -> str:
    """The page with numbers and their units on one line, wherever a reader's program breaks it."""
    return _TEXT.sub(lambda text: _NUMBER_AND_UNIT.sub("\N{NO-BREAK SPACE}", text[0]), page)


def unbroken(text: str) -> Markup:
    """`text`, escaped; an analysis such as 24-0-6, a day and its hours are not broken."""
    return Markup(
        _unbroken(spoken()).sub(r'<span style="white-space:nowrap">\g<0></span>', str(escape(text)))
    )


@cache
def _unbroken(language: Language) -> re.Pattern[str]:
    """What one line must hold: an analysis, a day as the language writes it, hours of the clock."""
    with speaking(language):
        names = "|".join(weekday_text(day, "us") for day in range(7))
        months = "|".join(
            dict.fromkeys(
                month_text(month, units, "abbreviated")
                for units in ("us", "metric")
                for month in range(1, 13)
            )
        )
        hours = tell("{start} to {end}", start=r"\d\d:\d\d", end=r"\d\d:\d\d")
    return re.compile(
        r"\(?\b\d[\d.]*-\d[\d.]*-\d[\d.]*\b\)?"
        rf"|\b(?:{names}),? (?:(?:{months}) \d{{1,2}}|\d{{1,2}}\.? (?:{months}))\b"
        rf"|\b{hours}\b"
    )
