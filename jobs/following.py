"""Wires the followers of entries: who looks at what happened, and does something about it."""

from jobs.book.followers import register
from jobs.index.following import INDEXES_ON, follow_words
from jobs.index.steps import FOLLOWER
from jobs.moves.following import MOVES_ON, follow_moves
from jobs.updates.following import TELLS_ON, follow_updates

register("moves", MOVES_ON, follow_moves)
register("updates", TELLS_ON, follow_updates)
register(FOLLOWER, INDEXES_ON, follow_words)
