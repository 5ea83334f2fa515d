"""Safe copies: the whole shop in one archive with hashes, made while it runs, and put back. Imports shop.profile and pure shop modules."""
