"""Papers: frozen texts with their signatures, each made into one sealed PDF and chained to the paper before it.

Imports `photos`, `book`, `links` and the shop's own slices; nothing above them.
"""
