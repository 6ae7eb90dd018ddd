"""The season of a site as one page: nothing to load, no script, for a screen, a phone or paper.

Every text is a value of the view and is escaped; pictures escape their own.
"""

from __future__ import annotations

from markupsafe import Markup

from advisor.digest.ahead_picture import narrow, wide
from advisor.digest.clean import cleaned
from advisor.digest.drawing import INKS
from advisor.digest.glossary import Glossary
from advisor.digest.pictures import pictures
from advisor.digest.season_view import season_words
from advisor.digest.templating import template
from advisor.digest.view import DEFER
from advisor.language.speaking import speaking
from advisor.language.words import tell
from advisor.plan.ahead_model import Ahead
from advisor.plan.model import Plan
from advisor.plan.season_model import Season

PAPER = {
    "ground": ("#fbfaf4", "#1d231a"),
    "ink": ("#222d1e", "#e6e9de"),
    "faint": ("#56604d", "#aab3a0"),
    "grid": ("#d9d6c8", "#3a4335"),
    "apply": ("#24502f", "#93cf9e"),
    "wait": ("#7a4f0c", "#ecc06c"),
    "water": ("#174f6e", "#8cc6e8"),
    "other": ("#5f4478", "#c9aee6"),
    "band": ("#c6dcbf", "#33503a"),
    "apply-band": ("#c6dcbf", "#33503a"),
    "ahead": ("#f1efe3", "#252c21"),
}
"""Inks of pictures that stand on this page, for light and for dark; others are their own."""


def render_season(season: Season) -> str:
    """The page, in the site's language."""
    with speaking(season.plan.site.language):
        glossary = Glossary()
        page = template("season.html.j2").render(
            season=season_words(season),
            windows_pictures=_windows(season.ahead),
            curves=_curves(cleaned(season.plan)),
            inks={ink: PAPER.get(ink, pair) for ink, pair in INKS.items()},
            mark=glossary.mark,
            glossary=glossary,
            defer=tell(DEFER),
        )
    return page.lstrip()


def _curves(plan: Plan) -> dict[str, list[tuple[str, str, Markup]]]:
    """By lawn, its pictures: what each is called, what it shows, and its own markup."""
    return {
        lawn.name: [(one.title, one.finding, Markup(one.drawing.svg())) for one in drawn]
        for lawn in plan.lawns
        if (drawn := pictures(plan, lawn.name))
    }


def _windows(ahead: Ahead | None) -> dict[str, tuple[Markup, Markup]]:
    """By lawn, the picture of its windows for a page and for a phone."""
    if ahead is None:
        return {}
    alone = {
        lawn.name: ahead.model_copy(update={"lawns": (lawn,)})
        for lawn in ahead.lawns
        if lawn.windows or lawn.marks or lawn.closed
    }
    return {
        name: (Markup(wide(one).svg()), Markup(narrow(one).svg())) for name, one in alone.items()
    }
