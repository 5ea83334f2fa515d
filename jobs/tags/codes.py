"""Tag codes: eight letters picked by chance, read back from whatever a person types or a camera reads. Pure.

The alphabet has 27 signs: ten digits and C D F G H J K M N P Q R T V W X Y. It leaves out O, I, L, S, Z, B and U, which
are taken for 0, 1, 1, 5, 2, 8 and V, and the vowels A and E, so that no word appears by chance. All of it lies in the
alphanumeric mode of the square code (ISO/IEC 18004), which keeps the symbol small.

27^8 is 2.8 × 10^11 codes (38 bits). With 100,000 tags given out the next one meets a used code with a chance of
3.5 × 10^-7; `steps.bind` then picks another. Somebody who guesses needs 2.8 million tries on average to meet one of
those 100,000, and then sees what any finder of a tag sees: where to bring the instrument. A code opens nothing.
"""

import re
import secrets
from urllib.parse import urlsplit

ALPHABET = "0123456789CDFGHJKMNPQRTVWXY"
LENGTH = 8
_TAKEN_FOR = str.maketrans("OILSZBU", "011528V")
_GAPS = re.compile(r"[\s\u2010-\u2015\u2212._-]+")
_IN_ADDRESS = re.compile(r"/t/([^/?#]+)", re.IGNORECASE)


def make_code() -> str:
    """Eight signs by chance, from the system's source of secrets."""
    return "".join(secrets.choice(ALPHABET) for _ in range(LENGTH))


def read_code(typed: str) -> str | None:
    """The code in a typed line or a scanned address, or None. Case, gaps, dashes and look-alikes are forgiven.

    An address is read by its code alone, so tags outlive a change of the shop's public address.
    """
    found = _IN_ADDRESS.search(typed)
    code = _GAPS.sub("", found[1] if found else typed).upper().translate(_TAKEN_FOR)
    return code if len(code) == LENGTH and set(code) <= set(ALPHABET) else None


def read_part(typed: str) -> str:
    """As much of a code as was typed, in small letters, read like `read_code`; "" for what cannot be a part of one."""
    found = _IN_ADDRESS.search(typed)
    part = _GAPS.sub("", found[1] if found else typed).upper().translate(_TAKEN_FOR)
    return part.lower() if len(part) <= LENGTH and set(part) <= set(ALPHABET) else ""


def grouped(code: str) -> str:
    """ "7K2M 9QWD": as printed and said."""
    return f"{code[:4]} {code[4:]}"


def address(code: str, public: str) -> str:
    """What the square code holds: "HTTPS://HOST/T/CODE", in capitals to stay in alphanumeric mode (RFC 3986, 6.2.2.1).

    Scheme and host do not care about case. A public address with a path of its own is left as it is.
    """
    parts = urlsplit(public)
    if parts.path.strip("/"):
        return f"{public.rstrip('/')}/T/{code}"
    host = parts.netloc.encode("idna").decode("ascii") if not parts.netloc.isascii() else parts.netloc
    return f"{parts.scheme}://{host}/T/{code}".upper()
