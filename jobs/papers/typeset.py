"""From a frozen text to a PDF, by typst: data as JSON, pictures from a temporary folder, the text carried inside.

A4 or US letter, PDF/A-3a, tagged, the same bytes for the same input. No letter, however rare, stops a paper.
"""

import json
import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import typst

from jobs.papers.canonical import read, sha256
from jobs.papers.lettering import fonts, printable, refused_letters, substituted
from jobs.papers.texts import Json

if TYPE_CHECKING:
    from typst import PDFStandard

TEMPLATES = Path(__file__).resolve().parents[2] / "templates" / "papers"
STANDARDS: "list[PDFStandard]" = ["a-3a"]
_ROUNDS = 4
_SIGNATURES = {b"\xff\xd8\xff": "jpg", b"\x89PNG": "png"}


def _picture_files(root: Path, images: Mapping[str, bytes]) -> dict[str, Json]:
    """Lay the pictures down and say where. What is neither JPEG nor PNG is left out: its frame stays empty."""
    laid: dict[str, Json] = {}
    for name, data in images.items():
        for begins, ending in _SIGNATURES.items():
            if data.startswith(begins):
                path = f"/pictures/{len(laid)}.{ending}"
                (root / path[1:]).write_bytes(data)
                laid[name] = path
    return laid


@contextmanager
def laid_out(
    data: dict[str, Json], images: Mapping[str, bytes], carried: bytes
) -> Iterator[tuple[Path, dict[str, Json]]]:
    """A temporary folder with templates, pictures and the carried text, and the data as the templates want it."""
    with TemporaryDirectory(prefix="paper-") as folder:
        root = Path(folder)
        shutil.copytree(TEMPLATES, root, dirs_exist_ok=True)
        (root / "pictures").mkdir()
        (root / "paper.json").write_bytes(carried)
        yield root, {**data, "images": _picture_files(root, images), "substituted": False}


def compiled(root: Path, template: str, data: dict[str, Json], at: datetime, *, plain: bool = False) -> bytes:
    """One run of typst in a folder of `laid_out`; `plain` asks for no archive standard."""
    (root / "data.json").write_text(json.dumps(data, ensure_ascii=False), encoding="utf-8")
    pdf = typst.compile(
        root / f"{template}.typ",
        root=root,
        font_paths=fonts(),
        ignore_system_fonts=True,
        format="pdf",
        pdf_standards=[] if plain else STANDARDS,
        timestamp=int(at.timestamp()),
    )
    if not isinstance(pdf, bytes):
        raise TypeError("typst gave no PDF.")
    return pdf


def set_in_type(
    template: str,
    data: dict[str, Json],
    *,
    at: datetime,
    images: Mapping[str, bytes] | None = None,
    carried: bytes = b"",
) -> bytes:
    """Set `data` by a template of templates/papers. `carried` is laid beside it as paper.json for the template to attach.

    Letters no font has become □ and `substituted` is true; should even that not help, the PDF is a plain one.
    """
    with laid_out(data, images or {}, carried) as (root, shown):
        for _ in range(_ROUNDS):
            try:
                return compiled(root, template, shown, at)
            except typst.TypstError as fault:
                letters = refused_letters(fault.diagnostic)
                if not letters:
                    raise
                shown = {key: substituted(value, letters) for key, value in shown.items()} | {"substituted": True}
        return compiled(root, template, shown, at, plain=True)


def typeset(kind: str, text: bytes, images: Mapping[str, bytes]) -> bytes:
    """The PDF of a frozen text (`jobs.papers.frozen`), unsealed. `images` are JPEG or PNG by the photo's SHA-256."""
    paper = read(text)
    return set_in_type(
        kind,
        {"paper": printable(paper), "sha256": sha256(text)},
        at=datetime.fromisoformat(str(paper["frozen"])),
        images=images,
        carried=text,
    )
