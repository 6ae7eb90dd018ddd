"""The sums as of a moment: the journal, and the advice that was sent before it. No weather."""

from __future__ import annotations

from advisor.cli.opening import Opened
from advisor.service.decide import advised_before
from advisor.service.folders import database_file
from advisor.site.sums import Sums, sums
from advisor.store.database import Store


def counted(opened: Opened) -> Sums:
    """What every lawn has had, surely and perhaps. Raises StoreError."""
    advice = []
    path = database_file(opened.state)
    if path.exists():
        with Store(path) as store:
            advice = advised_before(store, opened.site, opened.now)
    today = opened.now.astimezone(opened.site.place.zone_info).date()
    files = opened.read.files
    return sums(opened.site, files.shelf, files.journal, advice, today)
