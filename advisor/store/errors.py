"""What can go wrong with the database, as one sentence for the operator."""

from __future__ import annotations


class StoreError(Exception):
    """The database cannot be opened, read or written. `str()` is one sentence that says what to
    mend. Nothing is ever deleted in answer to it."""
