"""The plan as people read it: text, HTML, mail."""
