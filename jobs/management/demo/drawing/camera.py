"""A camera over a flat scene in millimetres, and what a pen and a soft brush can do on the picture."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import cos, floor, pi, sin

import numpy as np
import numpy.typing as npt
from PIL import Image, ImageDraw, ImageFilter

from jobs.management.demo.drawing.light import SOFTBOX, Lamp
from jobs.management.demo.drawing.shapes import Path, Point
from jobs.management.demo.drawing.skins import Rgb

Box = tuple[int, int, int, int]


class Camera:
    """Pixels, and the way from millimetres to them.

    ``per`` is pixels per mm, ``middle`` the point of the scene in the middle of the frame, ``turn`` degrees clockwise,
    ``flip`` exchanges left and right of the scene first; ``deep`` exaggerates relief (raking light).
    """

    def __init__(
        self,
        size: tuple[int, int],
        per: float,
        middle: Point,
        rng: np.random.Generator,
        *,
        turn: float = 0.0,
        flip: bool = False,
        lamp: Lamp = SOFTBOX,
        deep: float = 1.0,
        ground: Image.Image | None = None,
    ) -> None:
        self.size, self.per, self.middle, self.rng, self.lamp = size, per, middle, rng, lamp
        self.turn, self.side, self.deep = turn, -1.0 if flip else 1.0, deep
        self.cos, self.sin = cos(turn * pi / 180), sin(turn * pi / 180)
        self.image = ground if ground is not None else Image.new("RGB", size, (120, 118, 114))

    def pixels(self, points: npt.ArrayLike) -> npt.NDArray[np.float64]:
        """Millimetres to pixels (n × 2)."""
        p = (np.asarray(points, dtype=np.float64) - np.array(self.middle)) * np.array((self.side, 1.0))
        turned = np.stack([p[:, 0] * self.cos - p[:, 1] * self.sin, p[:, 0] * self.sin + p[:, 1] * self.cos], axis=1)
        return turned * self.per + np.array(self.size) / 2

    def box(self, points: npt.NDArray[np.float64], pad: float) -> Box | None:
        """The part of the frame round some pixels, or None when they are all outside."""
        (x0, y0), (x1, y1) = points.min(axis=0) - pad, points.max(axis=0) + pad
        box = (max(0, floor(x0)), max(0, floor(y0)), min(self.size[0], int(x1) + 1), min(self.size[1], int(y1) + 1))
        return box if box[2] > box[0] and box[3] > box[1] else None

    def mask(self, paths: Iterable[Path], box: Box, *, small: int = 0) -> Image.Image:
        """Coverage of the shapes in a box; ``small`` > 0 draws it that many times smaller, for shadows."""
        w, h = box[2] - box[0], box[3] - box[1]
        up = 1 / small if small else 2
        sheet = Image.new("L", (max(1, round(w * up)), max(1, round(h * up))))
        pen = ImageDraw.Draw(sheet)
        for path in paths:
            steps = 24 if self.per > 6 else 12
            dots = ((self.pixels(path.flat(steps)) - np.array(box[:2])) * up - 0.5).tolist()
            pen.polygon([(x, y) for x, y in dots], fill=255)
        return sheet if small else sheet.reduce(2)

    def shadow(self, shapes: Sequence[Path], lift: float, dark: float = 0.55, *, spread: float = 0.42) -> None:
        """Soft shadow of shapes that stand ``lift`` mm above what is already painted."""
        px = lift * self.per
        soft = max(1.0, px * spread)
        dots = np.concatenate([self.pixels(p.flat(4)) for p in shapes])
        shift = np.array([-self.lamp.x, -self.lamp.y]) / self.lamp.z * px
        box = self.box(np.concatenate([dots, dots + shift]), soft * 2.2)
        if box is None:
            return
        small = max(1, min(12, int(soft / 1.6)))
        moved = (box[0] - round(shift[0]), box[1] - round(shift[1]), box[2] - round(shift[0]), box[3] - round(shift[1]))
        cover = self.mask(shapes, moved, small=small).filter(ImageFilter.GaussianBlur(soft / small))
        cover = cover.point([int(v * dark) for v in range(256)]).resize(
            (box[2] - box[0], box[3] - box[1]), Image.Resampling.BILINEAR
        )
        self.image.paste((12, 8, 7), box, cover)

    def lines(
        self, lines: Iterable[Sequence[Point] | npt.NDArray[np.float64]], wide: float, colour: Rgb, alpha: float = 1.0
    ) -> None:
        """Strokes ``wide`` mm across, all in one colour; hair-thin ones fade instead of breaking up."""
        drawn: list[npt.NDArray[np.float64]] = []
        for line in lines:
            dots = self.pixels(line)
            # A long line is drawn in pieces, so that no piece needs a large sheet.
            step = int(np.clip(240 / max(0.5, np.abs(np.diff(dots[:9], axis=0)).sum() / 8), 4, 40))
            drawn += [dots[i : i + step + 1] for i in range(0, max(1, len(dots) - 1), step)]
        px = wide * self.per
        few = len(drawn) > 3 and sum(len(d) for d in drawn) < 400
        for group in [drawn] if few else [[d] for d in drawn]:
            self._stroke(group, px, colour, alpha)

    def _stroke(self, drawn: list[npt.NDArray[np.float64]], px: float, colour: Rgb, alpha: float) -> None:
        box = self.box(np.concatenate(drawn), px + 2)
        if box is None:
            return
        w, h = box[2] - box[0], box[3] - box[1]
        up = 2 if px < 12 else 1
        sheet = Image.new("L", (w * up, h * up))
        pen = ImageDraw.Draw(sheet)
        stroke = max(1, round(px * up))
        fade = alpha * min(1.0, px * up / stroke)
        for line in drawn:
            dots = ((line - np.array(box[:2])) * up).tolist()
            pen.line([(x, y) for x, y in dots], fill=round(255 * fade), width=stroke, joint="curve")
        self.image.paste(colour, box, sheet.reduce(2) if up > 1 else sheet)

    def glints(
        self, ring: npt.NDArray[np.float64], strength: npt.NDArray[np.float64], wide: float, colour: Rgb
    ) -> None:
        """A line whose pieces show more or less (``strength`` 0–1 for each piece)."""
        dots, stroke = self.pixels(ring), wide * self.per
        near = ((dots > -40) & (dots < np.array(self.size) + 40)).all(axis=1)
        box = self.box(dots[near], stroke + 2) if near.any() else None
        if box is None:
            return
        up = 2 if stroke < 4 else 1
        sheet = Image.new("L", ((box[2] - box[0]) * up, (box[3] - box[1]) * up))
        pen, px = ImageDraw.Draw(sheet), max(1, round(stroke * up))
        placed = ((dots - np.array(box[:2])) * up).tolist()
        for a, b, s in zip(placed, placed[1:], (strength * 255 * min(1.0, stroke * up / px)).tolist(), strict=False):
            if s > 4:
                pen.line([*a, *b], fill=int(s), width=px)
        self.image.paste(colour, box, sheet.reduce(2) if up > 1 else sheet)

    def fill(self, paths: Sequence[Path], colour: Rgb, alpha: float = 1.0, *, soft: float = 0.0) -> None:
        """Flat colour in shapes; ``soft`` mm blurs the edge."""
        dots = np.concatenate([self.pixels(p.flat(6)) for p in paths])
        px = soft * self.per
        box = self.box(dots, 2 * px + 1)
        if box is None:
            return
        small = max(1, int(px / 2)) if soft else 0
        cover = self.mask(paths, box, small=small)
        if soft:
            cover = cover.filter(ImageFilter.GaussianBlur(px / max(1, small)))
        if alpha < 1:
            cover = cover.point([int(v * alpha) for v in range(256)])
        if soft:
            cover = cover.resize((box[2] - box[0], box[3] - box[1]), Image.Resampling.BILINEAR)
        self.image.paste(colour, box, cover)
