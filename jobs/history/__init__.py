"""What happened, in sentences: one row for each action of the book. Imports moves and below."""
