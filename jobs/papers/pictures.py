"""Small pictures for a paper: the size the worker made, or one made from the original when it is not ready yet."""

import logging
from io import BytesIO

from PIL import Image, ImageOps

from jobs.papers.models import Paper
from jobs.photos.models import Photo

log = logging.getLogger(__name__)
WIDEST = 420  # pixels: 32 mm on paper at 330 dots per inch
PASSED_ON = 120_000  # bytes: a small size this light is laid in as it is
_JPEG = b"\xff\xd8\xff"


def thumbnail(photo: Photo) -> bytes | None:
    """A small upright JPEG without place data, or None when the photo cannot be read: its frame then stays empty."""
    try:
        if photo.small:
            with photo.small.open("rb") as made:
                ready = bytes(made.read())
            if ready.startswith(_JPEG) and len(ready) <= PASSED_ON:
                return ready
            return _shrunk(ready)
        with photo.original.open("rb") as original:
            return _shrunk(bytes(original.read()))
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError) as fault:
        log.warning("Photo %s cannot be laid in a paper: %s", photo.pk, fault)
        return None


def _shrunk(data: bytes) -> bytes:
    with Image.open(BytesIO(data)) as opened:
        opened.draft("RGB", (WIDEST * 2, WIDEST * 2))
        upright = ImageOps.exif_transpose(opened).convert("RGB")
    upright.thumbnail((WIDEST, WIDEST))
    out = BytesIO()
    upright.save(out, "JPEG", quality=72)
    return out.getvalue()


def pictures(paper: Paper) -> dict[str, bytes]:
    """A paper's thumbnails by the hash of the original. One query, and a file read for each."""
    found = {}
    for row in paper.photos.select_related("photo"):
        small = thumbnail(row.photo)
        if small is not None:
            found[row.sha256] = small
    return found
