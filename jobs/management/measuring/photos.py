"""Figures of the photos: twelve of 12 megapixels, received and made into sizes, against decoding them once."""

from collections.abc import Callable
from functools import partial
from io import BytesIO
from statistics import median
from time import perf_counter
from uuid import uuid4

from django.core.files.uploadedfile import TemporaryUploadedFile
from django.utils import timezone
from PIL import Image, ImageChops

from jobs.management.measuring.figures import Figure
from jobs.management.measuring.world import make_shop
from jobs.photos import steps
from jobs.photos.models import Photo, photo_store

COUNT = 12
SIZE = (4032, 3024)


def _pictures() -> list[bytes]:
    """JPEGs as large and as full of detail as a telephone's: about 4 MB each, all different."""
    smooth = Image.radial_gradient("L").resize(SIZE)
    grain = Image.effect_noise(SIZE, 24)
    picture = Image.merge("RGB", [ImageChops.overlay(smooth, grain), ImageChops.soft_light(grain, smooth), grain])
    made = []
    for number in range(COUNT):
        out = BytesIO()
        ImageChops.offset(picture, number * 301, number * 173).save(out, "JPEG", quality=84)
        made.append(out.getvalue())
    return made


def photos() -> list[Figure]:
    """Receive each photo as the web does, then make its sizes as the worker does; decode it once between the two."""
    by, received, decoded, sized = make_shop(), [], [], []
    try:
        for number, data in enumerate(_pictures()):
            with TemporaryUploadedFile(f"{number}.jpg", "image/jpeg", len(data), None) as upload:
                upload.write(data)
                start = perf_counter()
                photo = steps.receive(
                    upload, purpose="intake", by=by, at=timezone.now(), send_key=uuid4().hex, sitting=uuid4()
                )
                received.append(perf_counter() - start)
            decoded.append(_timed(partial(_decode, data)))
            sized.append(_timed(partial(steps.make, photo.pk, at=timezone.now())))
        if set(Photo.objects.values_list("state", flat=True)) != {"made"}:
            raise RuntimeError("A photo was not made into sizes.")
    finally:
        for names in Photo.objects.values_list("original", "small", "large"):
            for name in filter(None, names):
                photo_store().delete(name)
    yardstick = "decoding the same JPEG once at full size"
    receiving, sizing = median(received) / median(decoded), median(sized) / median(decoded)
    return [
        Figure("photos", median(received) * 1000, "ms", yardstick, receiving, "≤ 0.3 ×", receiving <= 0.3),
        Figure("photos-sizes", median(sized) * 1000, "ms", yardstick, sizing, "≤ 3 ×", sizing <= 3),
    ]


def _decode(data: bytes) -> None:
    with Image.open(BytesIO(data)) as picture:
        picture.load()


def _timed(call: Callable[[], object]) -> float:
    start = perf_counter()
    call()
    return perf_counter() - start
