"""What the owner wrote: site, lawns, shelf, restrictions and journal, checked. Pure."""
