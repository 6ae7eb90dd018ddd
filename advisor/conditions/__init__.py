"""From a weather series, a lawn and its journal to the facts that rules speak of. Pure."""
