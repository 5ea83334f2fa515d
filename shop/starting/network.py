"""This computer's own numbers and names on the network it stands in. Sends nothing."""

import ipaddress
import socket
from contextlib import suppress

# documentation addresses (RFC 5737, RFC 3849): choosing a way to them tells our own number; no packet leaves
_ELSEWHERE = ((socket.AF_INET, "192.0.2.1"), (socket.AF_INET6, "2001:db8::1"))
UNSPECIFIED = frozenset({"0.0.0.0", "::", ""})


def own_numbers() -> list[str]:
    """The numbers other devices reach this computer by, the likeliest first; empty without a network."""
    found: list[str] = []
    for family, elsewhere in _ELSEWHERE:
        with suppress(OSError), socket.socket(family, socket.SOCK_DGRAM) as probe:
            probe.connect((elsewhere, 9))
            found.append(probe.getsockname()[0])
    with suppress(OSError):
        found += [str(entry[4][0]) for entry in socket.getaddrinfo(socket.gethostname(), None)]
    return [number for number in dict.fromkeys(found) if _reachable(number)]


def own_name() -> str:
    """The name of this computer on its own network, “bench.local”; "" when it has none (RFC 6762)."""
    name = socket.gethostname().partition(".")[0].lower()
    fits = 0 < len(name) <= 63 and all(part.isalnum() and part.isascii() for part in name.replace("-", "a"))
    return f"{name}.local" if fits and name != "localhost" else ""


def is_loopback(host: str) -> bool:
    """Whether only this computer can reach an address to listen on."""
    if host == "localhost":
        return True
    with suppress(ValueError):
        return ipaddress.ip_address(host).is_loopback
    return False


def _reachable(number: str) -> bool:
    with suppress(ValueError):
        address = ipaddress.ip_address(number)
        return not (address.is_loopback or address.is_link_local or address.is_unspecified)
    return False
