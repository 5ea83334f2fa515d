"""What can be wrong with a copy, in words for a person. Pure."""


class CannotPackError(Exception):
    """No copy can be made, or not a good one; the text says why and what to do."""


class CannotUnpackError(Exception):
    """The archive cannot be put back here; the text says why and what to do. Nothing has been written."""


class DamagedError(CannotUnpackError):
    """Not the bytes that were packed."""
