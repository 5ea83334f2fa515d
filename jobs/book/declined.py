"""What the gate says once the owner has declined and nothing else is agreed. Pure; trade practice, no source.

What was opened is put together again at the bench, and checked, before it goes back; what was not goes back as it is.
"""

_FIRST = "The owner declined. Say first what follows: put together again or not, a fee or none."


def to_the_bench(*, settled: bool, reassemble: bool) -> str:
    """Why it may not go to the bench, "" when it is to be put together again there."""
    if not settled:
        return _FIRST
    return (
        ""
        if reassemble
        else "The owner declined and nothing is to be put together. Take it to Ready to collect instead."
    )


def to_ready_unworked(*, settled: bool, reassemble: bool, billed: bool) -> str:
    """Why it may not go straight to Ready, "" when it may. `billed`: the fee is invoiced, or there is none."""
    if not settled:
        return _FIRST
    if reassemble:
        return "It was opened: it is put together again first. Take it to the bench queue."
    return "" if billed else "The invoice for the fee is not issued. Issue it first."
