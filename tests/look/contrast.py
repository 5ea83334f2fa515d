"""Relative luminance and contrast ratio as WCAG 2.2 defines them, and the colours that tokens.css names."""

import re

from django.conf import settings

Colour = tuple[float, float, float]
TOKENS = "shop/static/shop/tokens.css"


def colour(text: str) -> Colour:
    """“#RRGGBB” as three shares of one."""
    return int(text[1:3], 16) / 255, int(text[3:5], 16) / 255, int(text[5:7], 16) / 255


def luminance(of: Colour) -> float:
    """WCAG 2.2, relative luminance (with the corrected threshold 0.04045)."""
    red, green, blue = (v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in of)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: Colour, other: Colour) -> float:
    """WCAG 2.2, contrast ratio, 1 to 21."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def laid_over(top: Colour, ground: Colour, opacity: float) -> Colour:
    """What is seen of `top` at an opacity over `ground`."""
    red, green, blue = (opacity * a + (1 - opacity) * b for a, b in zip(top, ground, strict=True))
    return red, green, blue


def tokens() -> dict[str, dict[str, Colour]]:
    """The named colours by light: day, and evening with what it takes over from day."""
    css = (settings.ROOT / TOKENS).read_text(encoding="utf-8")
    day = _named(css, ":root")
    return {"day": day, "evening": {**day, **_named(css, "[data-light=evening]")}}


def _named(css: str, selector: str) -> dict[str, Colour]:
    rule = re.search(re.escape(selector) + r"\s*\{(.*?)\}", css, re.DOTALL)
    assert rule is not None, f"{TOKENS} has no rule {selector}"
    return {name: colour(value) for name, value in re.findall(r"--([\w-]+):\s*(#[0-9A-Fa-f]{6})\b", rule[1])}
