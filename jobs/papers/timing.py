"""How long a paper takes, for the `measure` command: a sealed note of three pages against typst alone."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from time import perf_counter

from jobs.papers.canonical import read, sha256
from jobs.papers.frozen import FIRST, Frozen, frozen
from jobs.papers.lettering import printable
from jobs.papers.regions import page_count
from jobs.papers.seal import ensure_key, seal
from jobs.papers.texts import Condition, Named, NoteJob, NoteText, Picture, ShopHead, Signed, Thing
from jobs.papers.typeset import compiled, laid_out, typeset

_LINES = 70
_PICTURES = 12


@dataclass(frozen=True, slots=True)
class PaperTimes:
    """Median seconds of typst alone and of the whole (canonical text, type, seal), and the pages of the note."""

    pages: int
    typst_alone: float
    sealed: float

    @property
    def ratio(self) -> float:
        """The whole against typst alone."""
        return self.sealed / self.typst_alone


def _note(turn: int, hashes: list[str], at: str) -> tuple[NoteText, Signed]:
    conditions = tuple(
        Condition(
            number=line,
            term=f"Scratch {turn}.{line}",
            place="treble side, C-bout",
            extent_mm=str(10 + (turn * 7 + line) % 40),
            severity="minor",
            freshness="old",
            photos=(1 + line % _PICTURES,),
        )
        for line in range(1, _LINES + 1)
    )
    item = Thing(name="Violin 4/4", kind="Vn", details=("dark brown",), tag="7K2M9QWD")
    job = NoteJob(number=f"26-{turn:04}", item=item, said=f"It rattles on day {turn}.", conditions=conditions)
    words = NoteText(
        shop=ShopHead(name="A workshop", address=("A yard",)),
        fixed=at,
        arrived=at,
        parties=(Named(name=f"Owner {turn}", role="brings it in"),),
        jobs=(job,),
        pictures=tuple(Picture(number=number, sha256=one, words="view") for number, one in enumerate(hashes, start=1)),
        terms=("Storage is paid from the thirtieth day after notice.",) * 4,
    )
    pen = tuple((20 * step, (turn * 37 + step * 91) % 400, step * 8) for step in range(40))
    return words, Signed(role="depositor", name=f"Owner {turn}", at=at, strokes=(pen,))


def _frozen(turn: int, images: dict[str, bytes], at: datetime) -> Frozen:
    words, signed = _note(turn, list(images), at.isoformat())
    return frozen(words, number=f"N-{turn}", position=turn, previous=FIRST, at=at.isoformat(), signatures=(signed,))


def paper_times(home: Path, pictures: list[bytes], *, at: datetime, rounds: int = 15) -> PaperTimes:
    """Time `rounds` notes of three pages each way, different data every time; `pictures` are about a dozen thumbnails."""
    key = ensure_key(home, "A workshop", at)
    images = {sha256(one): one for one in pictures[:_PICTURES]}
    alone, whole, pages = [], [], 0
    for turn in range(1, 2 * rounds + 3, 2):
        held = _frozen(turn, images, at)
        data = {"paper": printable(read(held.data)), "sha256": held.sha256}
        with laid_out(data, images, held.data) as (root, shown):
            start = perf_counter()
            compiled(root, "note", shown, at)
            alone.append(perf_counter() - start)
        start = perf_counter()
        other = _frozen(turn + 1, images, at)
        pdf = seal(typeset("note", other.data, images), key, reason="A note", at=at)
        whole.append(perf_counter() - start)
        pages = page_count(pdf)
    # the first of each warms fonts and code
    return PaperTimes(pages, sorted(alone[1:])[rounds // 2], sorted(whole[1:])[rounds // 2])
