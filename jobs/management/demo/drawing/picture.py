"""A camera over a flat scene in millimetres: parts are laid on each other, each with skin, form and shadow."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import cos, floor, pi, sin

import numpy as np
import numpy.typing as npt
from PIL import Image, ImageChops, ImageDraw, ImageFilter

from jobs.management.demo.drawing import grain
from jobs.management.demo.drawing.light import SOFTBOX, Floats, Form, Lamp, Leaning, leaning, shade, thickness
from jobs.management.demo.drawing.shapes import Path, Point
from jobs.management.demo.drawing.skins import Rgb, Skin, ramps

Box = tuple[int, int, int, int]

#: Pixels from which a close-up's surface is painted at half size.
_LARGE = 500_000


class Picture:
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

    def laid(self, at: Point, about: Point, turn: float, *, flip: bool = False, size: float = 1.0) -> Picture:
        """A second camera on the same paper: its point ``about`` falls on ``at`` of this one, turned by ``turn``."""
        other = Picture(
            self.size, self.per * size, about, self.rng, turn=self.turn + turn, flip=flip, lamp=self.lamp,
            deep=self.deep, ground=self.image,
        )  # fmt: skip
        px = (self.pixels([at])[0] - np.array(self.size) / 2) / other.per
        back = (px[0] * other.cos + px[1] * other.sin, -px[0] * other.sin + px[1] * other.cos)
        other.middle = (about[0] - back[0] * other.side, about[1] - back[1])
        return other

    def _box(self, points: npt.NDArray[np.float64], pad: float) -> Box | None:
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

    def part(
        self,
        path: Path,
        skin: Skin,
        form: Form | Leaning | None = None,
        *,
        lift: float = 0.0,
        dark: float = 0.55,
        deep: float = 1.0,
        also: Sequence[Path] = (),
        holes: Sequence[Path] = (),
        worn: Sequence[tuple[Point, float, float]] = (),
        tone: float = 1.0,
    ) -> None:
        """Lays one part: shadow ``lift`` mm below it, grain, varnish, rounding, reflex.

        ``worn``: (place, radius mm, strength) where the coat is thin. ``tone`` darkens or lightens all of it.
        """
        shapes = [path, *also]
        dots = np.concatenate([self.pixels(p.flat(6)) for p in shapes])
        box = self._box(dots, 1)
        if box is None:
            if lift:
                self.shadow(shapes, lift, dark)
            return
        cover = self.mask(shapes, box)
        full = cover.getextrema()[0] == 255
        # A part that fills the frame hides its own shadow.
        if lift and not (full and box == (0, 0, *self.size)):
            self.shadow(shapes, lift, dark)
        if holes:
            cover, full = ImageChops.subtract(cover, self.mask(holes, box)), False
        surface = self._coarse(path, skin, form, box, deep, worn, tone)
        self.image.paste(surface, box, None if full else cover)

    def shadow(self, shapes: Sequence[Path], lift: float, dark: float = 0.55, *, spread: float = 0.42) -> None:
        """Soft shadow of shapes that stand ``lift`` mm above what is already painted."""
        px = lift * self.per
        soft = max(1.0, px * spread)
        dots = np.concatenate([self.pixels(p.flat(4)) for p in shapes])
        shift = np.array([-self.lamp.x, -self.lamp.y]) / self.lamp.z * px
        box = self._box(np.concatenate([dots, dots + shift]), soft * 2.2)
        if box is None:
            return
        small = max(1, min(12, int(soft / 1.6)))
        moved = (box[0] - round(shift[0]), box[1] - round(shift[1]), box[2] - round(shift[0]), box[3] - round(shift[1]))
        cover = self.mask(shapes, moved, small=small).filter(ImageFilter.GaussianBlur(soft / small))
        cover = cover.point([int(v * dark) for v in range(256)]).resize(
            (box[2] - box[0], box[3] - box[1]), Image.Resampling.BILINEAR
        )
        self.image.paste((12, 8, 7), box, cover)

    def _coarse(
        self,
        path: Path,
        skin: Skin,
        form: Form | Leaning | None,
        box: Box,
        deep: float,
        worn: Sequence[tuple[Point, float, float]],
        tone: float,
    ) -> Image.Image:
        """The surface in a box; a large one is painted at half size, edges stay sharp by their own mask."""
        size = (box[2] - box[0], box[3] - box[1])
        if self.per < 5 or size[0] * size[1] < _LARGE:
            return self._surface(path, skin, form, box, deep, worn, tone)
        half = Picture((self.size[0] // 2, self.size[1] // 2), self.per / 2, self.middle, self.rng, turn=self.turn,
                       flip=self.side < 0, lamp=self.lamp, deep=self.deep, ground=self.image)  # fmt: skip
        small = (box[0] // 2, box[1] // 2, (box[2] + 1) // 2, (box[3] + 1) // 2)
        surface = half._surface(path, skin, form, small, deep, worn, tone)
        return surface.resize(size, Image.Resampling.BICUBIC)

    def _surface(
        self,
        path: Path,
        skin: Skin,
        form: Form | Leaning | None,
        box: Box,
        deep: float,
        worn: Sequence[tuple[Point, float, float]],
        tone: float,
    ) -> Image.Image:
        size = (box[2] - box[0], box[3] - box[1])
        start = path.flat(4)
        anchor = ((start[:, 0].min() + start[:, 0].max()) / 2, (start[:, 1].min() + start[:, 1].max()) / 2)
        grey = self._grain(skin, box, anchor)
        coloured = Image.merge("RGB", [grey.point(r) for r in ramps(skin.dark, skin.mid, skin.light)])
        long = max(size)
        small = 1 if long < 90 else 2 if long < 260 else 4 if long < 900 else 6
        low = (max(2, -(-size[0] // small)), max(2, -(-size[1] // small)))
        if form:
            dx, dy = self._slopes(path, form, box, low, small)
            bright, reflex = shade(dx, dy, self.lamp, deep * self.deep)
        else:
            bright = np.ones((low[1], low[0]), dtype=np.float32)
            reflex = np.full_like(bright, 0.12)
        coat = self._coat(skin, box, low, small, worn)
        times = np.clip(bright * np.float32(tone) * 0.86, 0, 1.45)[..., None] * coat
        reflex = reflex * np.float32(skin.gloss)
        over = np.clip(times - 1, 0, 1).max(axis=2)
        light = Image.fromarray((np.clip(times, 0, 1) * 255).astype(np.uint8))
        glow = Image.fromarray((np.clip(reflex * 0.62 + over * 0.5, 0, 1) * 255).astype(np.uint8))
        if small > 1:
            light = light.resize(size, Image.Resampling.BILINEAR)
            glow = glow.resize(size, Image.Resampling.BILINEAR)
        out = ImageChops.multiply(coloured, light)
        if skin.gloss > 0.02:
            glow = ImageChops.multiply(glow, grey.point([min(255, 120 + v) for v in range(256)]))
            out = ImageChops.screen(
                out, Image.merge("RGB", (glow, glow, glow.point([int(v * 0.93) for v in range(256)])))
            )
        return out

    def _grain(self, skin: Skin, box: Box, anchor: Point) -> Image.Image:
        """The grain under a box, laid so that the joint of the tile goes through ``anchor``."""
        size = (box[2] - box[0], box[3] - box[1])
        per = self.per * skin.mm
        name, level, fine = grain.choose(skin.grain, per, max(size) / per)
        source = grain.tile(name, skin.version % grain.VERSIONS.get(skin.grain, 1), level)
        k = fine / per  # tile pixels per picture pixel
        angle = skin.angle * pi / 180
        c = (self.cos * cos(angle) - self.sin * sin(angle)) * k
        s = (self.sin * cos(angle) + self.cos * sin(angle)) * k
        here = self.pixels([anchor])[0] - np.array(box[:2])
        middle = np.array(size) / 2
        n = source.size[0]
        # The tile is rolled so that the middle of the box falls on the middle of the tile.
        off = middle - here
        want = (
            np.array([off[0] * c + off[1] * s, -off[0] * s + off[1] * c])
            + n / 2
            + np.array([skin.shift * fine / skin.mm, 0])
        )
        roll = (round(n / 2 - want[0]) % n, round(n / 2 - want[1]) % n)
        # Pixels the box needs of the tile, with a margin for the turn.
        half = np.array([abs(c) * middle[0] + abs(s) * middle[1], abs(s) * middle[0] + abs(c) * middle[1]]) + 3
        window = [int(n / 2 - half[0]), int(n / 2 - half[1]), int(n / 2 + half[0]) + 1, int(n / 2 + half[1]) + 1]
        piece = grain.rolled(source, roll, (window[0], window[1], window[2], window[3]))
        x0, y0 = n / 2 - window[0], n / 2 - window[1]
        return piece.transform(
            size, Image.Transform.AFFINE,
            (c, s, x0 - middle[0] * c - middle[1] * s, -s, c, y0 + middle[0] * s - middle[1] * c),
            Image.Resampling.BILINEAR,
        )  # fmt: skip

    def _slopes(
        self, path: Path, form: Form | Leaning, box: Box, low: tuple[int, int], small: int
    ) -> tuple[Floats, Floats]:
        lean = form if isinstance(form, Leaning) else leaning(path, form)
        k = small / self.per
        ax, bx = self.side * self.cos * k * lean.per_x, self.side * self.sin * k * lean.per_x
        ay, by = -self.sin * k * lean.per_y, self.cos * k * lean.per_y
        ox, oy = box[0] - self.size[0] / 2, box[1] - self.size[1] / 2
        x0 = (ox * self.cos + oy * self.sin) / self.per * self.side + self.middle[0]
        y0 = (-ox * self.sin + oy * self.cos) / self.per + self.middle[1]
        terms = (ax, bx, (x0 - lean.left) * lean.per_x, ay, by, (y0 - lean.top) * lean.per_y)
        dx, dy = (
            np.asarray(
                raster.transform(low, Image.Transform.AFFINE, terms, Image.Resampling.BILINEAR), dtype=np.float32
            )
            for raster in (lean.x, lean.y)
        )
        dx = dx * np.float32(self.side)
        if self.sin:
            dx, dy = dx * self.cos - dy * self.sin, dx * self.sin + dy * self.cos
        return dx, dy

    def _coat(
        self, skin: Skin, box: Box, low: tuple[int, int], small: int, worn: Sequence[tuple[Point, float, float]]
    ) -> Floats:
        spots = [(*(self.pixels([at])[0] - np.array(box[:2])) / small, r * self.per / small, s) for at, r, s in worn]
        coat = thickness(self.rng, low, skin.patina, spots)
        thick = np.array(skin.thick, dtype=np.float32)
        return np.asarray(1 - coat[..., None] * (1 - thick) * np.float32(skin.patina * 1.6), dtype=np.float32)

    def lines(
        self, lines: Iterable[Sequence[Point] | npt.NDArray[np.float64]], wide: float, colour: Rgb, alpha: float = 1.0
    ) -> None:
        """Strokes ``wide`` mm across, all in one colour; hair-thin ones fade instead of breaking up."""
        drawn: list[npt.NDArray[np.float64]] = []
        for line in lines:
            dots = self.pixels(line)
            # A long line is drawn in pieces, so that no piece needs a large sheet.
            drawn += [dots[i : i + 31] for i in range(0, max(1, len(dots) - 1), 30)]
        px = wide * self.per
        few = len(drawn) > 3 and sum(len(d) for d in drawn) < 400
        for group in [drawn] if few else [[d] for d in drawn]:
            self._stroke(group, px, colour, alpha)

    def _stroke(self, drawn: list[npt.NDArray[np.float64]], px: float, colour: Rgb, alpha: float) -> None:
        box = self._box(np.concatenate(drawn), px + 2)
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

    def fill(self, paths: Sequence[Path], colour: Rgb, alpha: float = 1.0, *, soft: float = 0.0) -> None:
        """Flat colour in shapes; ``soft`` mm blurs the edge."""
        dots = np.concatenate([self.pixels(p.flat(6)) for p in paths])
        px = soft * self.per
        box = self._box(dots, 2 * px + 1)
        if box is None:
            return
        small = max(1, int(px / 2)) if soft else 0
        cover = self.mask(paths, box, small=small)
        if soft:
            cover = cover.filter(ImageFilter.GaussianBlur(px / max(1, small)))
            cover = cover.resize((box[2] - box[0], box[3] - box[1]), Image.Resampling.BILINEAR)
        if alpha < 1:
            cover = cover.point([int(v * alpha) for v in range(256)])
        self.image.paste(colour, box, cover)
