"""Row locks leave keys free: on PostgreSQL whoever names a locked row in a row of their own would wait, and two would wait for each other."""

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
_LOCK = re.compile(r"select_for_update\(((?:[^()]|\([^()]*\))*)\)")


def test_every_row_lock_leaves_the_key_free() -> None:
    files = [one for folder in ("jobs", "shop") for one in (ROOT / folder).rglob("*.py")]
    locks = [(one, said) for one in files for said in _LOCK.findall(one.read_text())]
    assert len(locks) > 50
    assert not [f"{one.relative_to(ROOT)}: {said}" for one, said in locks if "no_key=True" not in said]
