"""Parts laid over each other under the camera: grain, varnish, rounding, reflex, shadow."""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, pi, sin

import numpy as np
from PIL import Image, ImageChops

from jobs.management.demo.drawing import grain
from jobs.management.demo.drawing.camera import Box, Camera
from jobs.management.demo.drawing.light import Floats, Form, Leaning, leaning, shade, thickness
from jobs.management.demo.drawing.shapes import Path, Point
from jobs.management.demo.drawing.skins import Skin, ramps

#: Pixels from which a close-up's surface is painted at half size.
_LARGE = 500_000


class Picture(Camera):
    """A camera's picture on which parts are laid over each other, each with skin, form and shadow."""

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

    def part(
        self,
        path: Path,
        skin: Skin,
        form: Form | Leaning | None = None,
        *,
        lift: float = 0.0,
        dark: float = 0.55,
        deep: float = 1.0,
        holes: Sequence[Path] = (),
        worn: Sequence[tuple[Point, float, float]] = (),
        tone: float = 1.0,
    ) -> None:
        """Lays one part: shadow ``lift`` mm below it, grain, varnish, rounding, reflex.

        ``worn``: (place, radius mm, strength) where the coat is thin. ``tone`` darkens or lightens all of it.
        """
        shapes = [path]
        box = self.box(self.pixels(path.flat(6)), 1)
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
        return surface.resize(size, Image.Resampling.BILINEAR)

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
