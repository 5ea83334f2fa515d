"""What the page of safe copies shows."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from django.conf import settings

from jobs.office.lines import Standing
from shop.packing.models import Restored, SafeCopy
from shop.packing.reads import LastGood, last_good, restored
from shop.packing.words import age_words, size_words

SHOWN = 40


@dataclass(frozen=True, slots=True)
class CopyLine:
    """One copy, or one that failed, as the table has it."""

    copy: SafeCopy
    age: str
    size: str
    by: str
    place: str

    @property
    def good(self) -> bool:
        return self.copy.state == "good" and self.copy.gone_at is None

    @property
    def verdict(self) -> str:
        """“good”, or why not."""
        if self.copy.state == "good":
            return "good" if self.good else "no longer where it was put"
        return self.copy.failure


@dataclass(frozen=True, slots=True)
class CopiesPage:
    """The last good copy, the one being made, those of before, and what to know of their folder."""

    last: LastGood
    making: SafeCopy | None
    lines: list[CopyLine]
    restored: Restored | None
    folder: Path
    same_disk: bool
    locked: bool
    hour: str

    @property
    def newest(self) -> CopyLine | None:
        """The newest good one, for the words on how to put it back."""
        return next((line for line in self.lines if line.good), None)


def copies_page(at: datetime) -> CopiesPage:
    """The whole page in three queries."""
    rows = list(SafeCopy.objects.select_related("asked_by").order_by("-pk")[:SHOWN])
    return CopiesPage(
        last=last_good(at),
        making=next((row for row in rows if row.state in {"due", "making"}), None),
        lines=[_line(row, at) for row in rows if row.state in {"good", "failed"} and _worth_showing(row)],
        restored=restored(),
        folder=settings.COPIES_FOLDER,
        same_disk=_same_disk(settings.COPIES_FOLDER, settings.SHOP_HOME),
        locked=bool(settings.COPIES_PASSPHRASE),
        hour=settings.COPIES_AT,
    )


def _worth_showing(row: SafeCopy) -> bool:
    """A copy that was cleared away in its turn is nothing to see; one that failed without a file is."""
    return bool(row.path) or row.gone_at is None


def _line(row: SafeCopy, at: datetime) -> CopyLine:
    age = age_words(at - (row.made_at or row.asked_at))
    return CopyLine(
        copy=row,
        age=age if age == "just now" else f"{age} ago",
        size=size_words(row.size) if row.size else "",
        by=row.asked_by.short if row.asked_by else ("daily" if row.day else "at the terminal"),
        place=Path(row.path).name if row.made_at else "",
    )


def _same_disk(folder: Path, home: Path) -> bool:
    """Whether copies and shop would be lost together. False where the folder is not on this computer."""
    try:
        there = next(path for path in (folder, *folder.parents) if path.exists())
        return there.stat().st_dev == home.stat().st_dev
    except (OSError, StopIteration):
        return False


def copies_line(here: Standing) -> str:
    """How old the last good copy is. One query."""
    return last_good(here.at).words
