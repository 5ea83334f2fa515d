"""Messages to owners: stored, then sent. Imports billing, estimates, book and below."""
