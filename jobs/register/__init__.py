"""Pages: find anything; an item with its whole history; an owner with all that is theirs. Imports moves and below."""
