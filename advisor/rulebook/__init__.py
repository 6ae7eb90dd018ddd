"""Rules as text: read, checked, asked for a whole axis of days at once, explained. Pure."""
