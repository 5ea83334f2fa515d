"""The shop's vocabulary, operations and dated prices. Imports book and below."""
