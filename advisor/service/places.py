"""What a site's weather is stored under."""

from __future__ import annotations

from advisor.site.place import Site


def place_key(site: Site) -> str:
    """What a site's weather is stored under: its coordinates as they are asked for."""
    return f"{site.place.latitude:.4f},{site.place.longitude:.4f}"
