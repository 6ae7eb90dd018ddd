"""The hourly weather series with its provenance, and quantities with their units. Pure."""
