"""The token of a link: its id and generation with a MAC over both. Pure.

24 bytes as 32 letters of base64url (RFC 4648 §5): 6 bytes id, 2 bytes generation, and the first 16 bytes (128 bits) of
HMAC-SHA-256 (RFC 2104, truncated as its §5 allows). 24 is a multiple of 3, so no token has a second spelling.
"""

import base64
import binascii
import hashlib
import hmac

_ID_BYTES, _GENERATION_BYTES, MAC_BYTES = 6, 2, 16
LETTERS = (_ID_BYTES + _GENERATION_BYTES + MAC_BYTES) * 4 // 3
LAST_GENERATION = 256**_GENERATION_BYTES - 1
_PURPOSE = b"jobs.links token 1"


def key_from(secret: str) -> bytes:
    """A key for link tokens alone, derived from the shop's secret, so that no other use of the secret can forge one."""
    return hmac.digest(secret.encode(), _PURPOSE, hashlib.sha256)


def _mac(head: bytes, key: bytes) -> bytes:
    return hmac.digest(key, head, hashlib.sha256)[:MAC_BYTES]


def token_of(link_id: int, generation: int, key: bytes) -> str:
    """The token of a link at a generation (1 to 65,535). Raises OverflowError beyond."""
    head = link_id.to_bytes(_ID_BYTES, "big") + generation.to_bytes(_GENERATION_BYTES, "big")
    return base64.urlsafe_b64encode(head + _mac(head, key)).decode()


def read_token(token: str, key: bytes) -> tuple[int, int] | None:
    """Link id and generation of a token made with this key, else None. Compares in constant time."""
    if len(token) != LETTERS or not token.isascii():
        return None
    try:
        raw = base64.urlsafe_b64decode(token)
    except (binascii.Error, ValueError):
        return None
    if base64.urlsafe_b64encode(raw).decode() != token:
        return None
    head, mac = raw[:-MAC_BYTES], raw[-MAC_BYTES:]
    if not hmac.compare_digest(mac, _mac(head, key)):
        return None
    return int.from_bytes(head[:_ID_BYTES], "big"), int.from_bytes(head[_ID_BYTES:], "big")
