"""Handing a mail over: SMTP or a Maildir."""
