"""An order for a picture, and the straight views: the camera over one of the object's drawings."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from PIL import Image

from jobs.management.demo.drawing import (
    bow,
    bow_scene,
    bowed,
    bowed_scene,
    fretted_scene,
    inside,
    studio,
    views,
    workshop,
)
from jobs.management.demo.drawing.picture import Picture
from jobs.management.demo.drawing.shapes import Point
from jobs.management.demo.drawing.skins import Woods


@dataclass(frozen=True)
class Order:
    """What is to be painted; ``long`` is the extent of a defect in mm."""

    code: str
    kind: str
    woods: Woods
    seed: int
    size: tuple[int, int]
    rng: np.random.Generator
    label: str = ""
    term: str = ""
    long: float | None = None

    @property
    def shape(self) -> float:
        """Height of the frame against its width."""
        return self.size[1] / self.size[0]


def _ground(order: Order, name: str, per: float) -> Image.Image:
    if name == "cloth":
        return studio.cloth(order.size, order.rng, per)
    if name == "bench":
        return studio.bench(order.size, order.rng, per)
    return studio.sweep(order.size, order.rng, (70, 62, 54) if name == "dark" else None)


def camera(order: Order, width: float, ground: str, middle: Point = (0, 0), turn: float = 0.0) -> Picture:
    """A camera over a scene ``width`` mm wide."""
    per = order.size[0] / width
    return Picture(order.size, per, middle, order.rng, turn=turn, ground=_ground(order, ground, per))


def lay(picture: Picture, seen: str, order: Order) -> None:
    """Lays the object under the camera as one of its drawings."""
    kind, w = order.kind, order.woods
    if seen == "bow":
        bow_scene.side(picture, kind, w)
    elif seen == "inside":
        inside.under_top(picture, kind, w)
    elif seen == "lean":
        bowed_scene.side(picture, kind, w, lean=7)
    elif kind in bowed.BOWED:
        if seen == "front":
            rest = kind in ("violin", "viola") and order.seed % 2 == 0 and picture.per * 592 < 1.2 * max(order.size)
            bowed_scene.front(picture, kind, w, bowed_scene.Setup(chinrest=rest))
        else:
            {"back": bowed_scene.back, "side": bowed_scene.side}[seen](picture, kind, w)
    else:
        {"front": fretted_scene.front, "back": fretted_scene.back, "side": fretted_scene.side}[seen](picture, kind, w)


def shot(order: Order) -> Picture:
    """A view straight at a drawing."""
    seen = views.shot(order.code, order.kind)
    if seen is None:
        raise ValueError(f"no drawing of {order.code} of {order.kind}")
    rng, whole = order.rng, order.code.endswith(("-full", "-side"))
    per = seen.per(order.size) * (1.0 if whole else float(rng.uniform(0.95, 1.05)))
    turn = seen.turn + float(rng.uniform(-1, 1)) * (0.5 if whole else 1.8)
    ground = _ground(order, "cloth" if order.kind in bow.BOWS and order.seed % 2 else "sweep", per)
    shift = rng.uniform(-0.012, 0.012, 2) * order.size[1] / per
    middle = (seen.middle[0] + float(shift[0]), seen.middle[1] + float(shift[1]))
    picture = Picture(order.size, per, middle, rng, turn=turn, flip=seen.flip, ground=ground)
    lay(picture, seen.seen, order)
    if order.code.endswith("-full") and order.shape < 1:
        card = Picture(order.size, order.size[1] / 100, (0, 0), rng, ground=picture.image)
        workshop.colour_card(card, (50 / order.shape - 31, 41), 27)
    return picture
