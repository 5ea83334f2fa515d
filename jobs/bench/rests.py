"""Glue, varnish and settling: until when something must be left alone, what to offer, and how much is left. Pure.

Waits are counted in elapsed hours, whatever the shop's clock does (common practice, no source); the quick choices are
read from an operation's own words, such as “glue 48 h, clamped, then settle 7 d”.
"""

RESTS = {"glue": "glue", "varnish": "varnish", "settling": "settling", "other": "rest"}
