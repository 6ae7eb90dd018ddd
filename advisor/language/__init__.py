"""The reader's language: words from one catalogue, dates and separators of numbers by Babel."""
