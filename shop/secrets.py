"""The secret key of one shop: made once, kept in its home with owner-only rights."""

import os
import secrets
from pathlib import Path


def secret_key(home: Path) -> str:
    """Return the key kept in `home`, making it on the first call.

    Two processes starting at once agree: the loser of the exclusive create reads the winner's file.
    """
    path = home / "secret.key"
    fresh = home / f".secret.{os.getpid()}.{secrets.token_hex(4)}"
    if not path.exists():
        descriptor = os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(descriptor, "w") as out:
            out.write(secrets.token_urlsafe(64))
        try:
            os.link(fresh, path)
        except FileExistsError:
            pass
        finally:
            fresh.unlink()
    return path.read_text().strip()
