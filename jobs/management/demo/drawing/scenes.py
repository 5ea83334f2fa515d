"""From a view code to a painted picture: which ground, which camera, which drawing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

import numpy as np
from PIL import Image

from jobs.management.demo.drawing import (
    bow,
    bow_scene,
    bowed,
    bowed_scene,
    cases,
    defects,
    fretted,
    fretted_scene,
    inside,
    sights,
    studio,
    things,
    views,
    workshop,
)
from jobs.management.demo.drawing.light import RAKING
from jobs.management.demo.drawing.orders import Order, camera, lay, shot
from jobs.management.demo.drawing.picture import Picture


def painted(order: Order) -> Picture:
    """Paints an order."""
    return _PAINTERS.get(order.code, shot)(order)


def _unit(kind: str) -> float:
    """Length against the violin's."""
    whole = bowed.BOWED.get(kind) or fretted.FRETTED.get(kind)
    return (whole.length if whole else bow.BOWS[kind].length) / 592


def _body(kind: str) -> tuple[float, float]:
    """Width of the body and the height of its middle, for pictures of the front."""
    if kind in bowed.BOWED:
        return bowed.BOWED[kind].lower, bowed.BOWED[kind].stop * 1.04
    return fretted.FRETTED[kind].lower, fretted.FRETTED[kind].body * 0.55


def _bare_front(picture: Picture, order: Order) -> None:
    """The front with strings and bridge off."""
    if order.kind in bowed.BOWED:
        bowed_scene.front(picture, order.kind, order.woods, bowed_scene.Setup(strings=False, bridge=False))
    else:
        fretted_scene.front(picture, order.kind, order.woods, strings=False)


def _raking(order: Order) -> Picture:
    """Light from low on the left: every hollow shows."""
    if order.kind in bow.BOWS:
        picture = camera(order, 150, "dark", (bow.BOWS[order.kind].length * 0.6, 8))
        picture.lamp = RAKING
        bow_scene.side(picture, order.kind, order.woods)
        return picture
    wide, y = _body(order.kind)
    picture = camera(order, wide * 1.3, "dark", (0, y))
    picture.lamp, picture.deep = RAKING, 1.5
    _bare_front(picture, order)
    return picture


def _ultraviolet(order: Order) -> Picture:
    whole = replace(order, code="bow-full" if order.kind in bow.BOWS else "front-full")
    look = views.shot(whole.code, whole.kind)
    if look is None:
        raise ValueError(f"no drawing of {order.kind}")
    per = look.per(order.size)
    picture = Picture(order.size, per, look.middle, order.rng, ground=Image.new("RGB", order.size, (24, 24, 26)))
    lay(picture, look.seen, order)
    spread = (0.43, 0.45, 0.008), (0.57, 0.9, 0.024)
    spots = [
        tuple(int(v) for v in row * (order.size[0], order.size[1], order.size[1]))
        for row in order.rng.uniform(*spread, (6, 3))
    ]
    picture.image = workshop.under_ultraviolet(picture.image, order.rng, [(x, y, r) for x, y, r in spots])
    return picture


def _case_open(order: Order) -> Picture:
    _, long, deep = cases.shell(order.kind)
    width = max(long * 1.13, (deep * 2.2 + long * 0.09) / order.shape)
    picture = camera(order, width, "bench", turn=float(order.rng.uniform(-2, 2)))
    cases.open_case(picture, order.kind, order.woods, order.seed)
    return picture


def _case_contents(order: Order) -> Picture:
    picture = camera(order, 800, "cloth")
    things.contents(picture, order.kind, order.woods, order.seed)
    return picture


def _fb_sight(order: Order) -> Picture:
    picture = camera(order, 100, "sweep")
    sights.along_board(picture, order.kind, order.woods)
    return picture


def _bridge_front(order: Order) -> Picture:
    if order.kind not in bowed.BOWED:
        return shot(order)
    b = bowed.BOWED[order.kind]
    high = b.bridge_high * 1.9
    picture = camera(order, max(high / order.shape, b.bridge_wide * 1.7), "sweep", (0, -b.bridge_high * 0.4))
    sights.bridge_front(picture, order.kind, order.woods)
    return picture


def _head_both(order: Order) -> Picture:
    picture = camera(order, 118 * bow.BOWS[order.kind].size, "sweep")
    sights.heads(picture, order.kind, order.woods)
    return picture


def _button(order: Order) -> Picture:
    picture = camera(order, 56 * bow.BOWS[order.kind].size, "sweep", turn=float(order.rng.uniform(-20, 20)))
    bow_scene.end_on(picture, order.kind, order.woods)
    return picture


def _camber(order: Order) -> Picture:
    picture = camera(order, 100, "sweep")
    bow_scene.along(picture, order.kind, order.woods)
    return picture


def _bench(order: Order) -> Picture:
    picture = camera(order, 640 * _unit(order.kind), "bench")
    workshop.on_bench(picture, order.kind, order.woods, int(order.rng.integers(12)))
    return picture


def _label(order: Order) -> Picture:
    picture = camera(order, 96, "dark")
    inside.label(picture, order.kind, order.woods, order.label)
    return picture


def _clamps(order: Order) -> Picture:
    """Glue setting: spool clamps on a seam, deep clamps on a guitar's bridge; a bow just lies on the bench."""
    if order.kind in bow.BOWS:
        return _bench(order)
    wide, y = _body(order.kind)
    if order.kind in bowed.BOWED:
        b = bowed.BOWED[order.kind]
        picture = camera(order, wide * 1.75, "bench", (wide * 0.12, b.body * 0.72), -8)
        _bare_front(picture, order)
        workshop.spool_clamps(picture, order.kind)
        return picture
    g = fretted.FRETTED[order.kind]
    picture = camera(order, wide * 1.2, "bench", (0, (g.hole_y + g.stop) / 2 + 10 if g.hole else y), 5)
    _bare_front(picture, order)
    if g.hole:
        workshop.bridge_clamps(picture, order.kind)
    else:
        workshop.spool_clamps(picture, order.kind)
    return picture


def _inside(order: Order) -> Picture:
    if order.kind in bow.BOWS:
        return shot(replace(order, code="stamp"))
    wide, y = _body(order.kind)
    picture = camera(order, wide * 1.05, "dark", (wide * 0.06, y * 1.18))
    inside.under_top(picture, order.kind, order.woods, cleats=4 + order.seed % 6, patch=order.seed % 3 > 0)
    return picture


def _defect(order: Order) -> Picture:
    """A close-up of a defect beside a millimetre rule; both share one scale."""
    long = order.long or defects.USUAL
    where = defects.place(order.kind, order.term, int(order.rng.integers(12)))
    width = max(defects.frame_width(long), where.least)
    frame = camera(order, width, "sweep")
    turn = float(order.rng.uniform(-2, 2)) - (90 if where.seen in ("side", "lean") else 0)
    spot = frame.laid((0, (where.drop - 0.05) * width * order.shape), where.at, turn, flip=where.flip)
    paint = partial(_marked, spot, order, where, long)
    if where.seen == "front":
        top, board = (None, paint) if defects.on_board(order.term) else (paint, None)
        if order.kind in bowed.BOWED:
            bowed_scene.front(spot, order.kind, order.woods, marks=top, board_marks=board)
        else:
            fretted_scene.front(spot, order.kind, order.woods, marks=top, board_marks=board)
    else:
        lay(spot, where.seen, order)
        paint()
    corner, rule, high = defects.cover_rule(width, width * order.shape)
    studio.scale_bar(frame, corner, rule, high=high)
    return frame


def _marked(spot: Picture, order: Order, where: defects.Place, long: float) -> None:
    """Paints the mark with chances of its own, so that everything else in the picture is as without it."""
    kept, spot.rng = spot.rng, np.random.default_rng([order.seed, 77])
    defects.mark(order.term)(spot, where.at, long, where.turn)
    spot.rng = kept


def _other(order: Order) -> Picture:
    """A closed case, or replaced parts laid out on cloth."""
    if order.kind == "case":
        picture = camera(order, 900, "bench", turn=float(order.rng.uniform(-4, 4)))
        cases.closed_case(picture, order.seed)
        return picture
    picture = camera(order, 300, "cloth")
    things.parts(picture, order.woods)
    return picture


_PAINTERS: dict[str, Callable[[Order], Picture]] = {
    "raking-light": _raking,
    "ultraviolet": _ultraviolet,
    "clamps": _clamps,
    "inside": _inside,
    "defect": _defect,
    "case-open": _case_open,
    "case-contents": _case_contents,
    "fb-sight": _fb_sight,
    "bridge-front": _bridge_front,
    "head-both": _head_both,
    "button": _button,
    "camber-sight": _camber,
    "bench": _bench,
    "label": _label,
    "thing": _other,
}
