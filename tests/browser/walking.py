"""Small acts of a person at a screen: sign, take a picture, look."""

import os
from io import BytesIO
from pathlib import Path

from PIL import Image
from playwright.sync_api import Locator, Page


def sign(pad: Locator) -> None:
    """Draw a zigzag with the mouse."""
    pad.scroll_into_view_if_needed()
    box = pad.bounding_box()
    assert box is not None
    mouse = pad.page.mouse
    mouse.move(box["x"] + 30, box["y"] + 50)
    mouse.down()
    for n in range(14):
        mouse.move(box["x"] + 30 + n * 14, box["y"] + (34 if n % 2 else 78))
    mouse.up()


def picture(folder: Path, name: str, *, seed: int = 0) -> Path:
    """A JPEG as a phone sends it, each different."""
    out = BytesIO()
    shade = Image.linear_gradient("L").resize((900, 1200)).rotate(7 * seed)
    Image.merge("RGB", (shade, shade.point(lambda value: value // 2), shade.point(lambda value: value // 4))).save(
        out, "JPEG", quality=85
    )
    file = folder / name
    file.write_bytes(out.getvalue())
    return file


def look_at(page: Page, name: str) -> None:
    """Keep a screenshot for a person to look at, where TEST_PICTURES names a folder."""
    folder = os.environ.get("TEST_PICTURES")
    if folder:
        page.wait_for_load_state("networkidle")
        page.screenshot(path=Path(folder) / f"{name}.png", full_page=True)
