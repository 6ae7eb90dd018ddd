"""Weather services: the only code that knows HTTP. Each answer becomes a series."""
