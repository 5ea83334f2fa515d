"""Tags: a random code bound to one item, printed as a square code and as letters, issued anew when one is torn.

Imports `papers` (the setting of type), `book` and what lies below them.
"""
