"""One decision from the site folder to the digest; later, the daemon around it."""
