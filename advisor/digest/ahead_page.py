"""The season ahead as one page: picture and tables, with nothing to load and no script.

Every text is a value of the view and is escaped; the pictures escape their own.
"""

from __future__ import annotations

from markupsafe import Markup

from advisor.digest.ahead_picture import narrow, wide
from advisor.digest.ahead_view import season_view
from advisor.digest.templating import template
from advisor.language.dates import language_tag
from advisor.plan.ahead_model import Ahead


def render_page(ahead: Ahead) -> str:
    """The page for a screen, a phone or paper; light or dark by its reader's choice."""
    return template("ahead.html.j2").render(
        language=language_tag(ahead.site.units),
        season=season_view(ahead),
        # Their own markup: each escapes what it shows.
        wide=Markup(wide(ahead).svg()),
        narrow=Markup(narrow(ahead).svg()),
    )
