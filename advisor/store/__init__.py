"""SQLite: the past, forecasts as issued, digests. All of it can be lost at the cost of history."""
