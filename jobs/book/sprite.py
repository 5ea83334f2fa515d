"""One silhouette of the sprite by itself: a page in the hand, or an answer, carries only what it shows."""

import re
from functools import cache

from django.template.loader import get_template
from django.utils.safestring import SafeString, mark_safe

SPRITE = "parts/silhouettes.svg"


@cache
def symbol(name: str) -> SafeString:
    """The `<symbol>` of a name, "" when the sprite has none."""
    drawn = get_template(SPRITE).render()
    found = re.search(rf'<symbol id="{re.escape(name)}".*?</symbol>', drawn, re.DOTALL)
    return mark_safe(found[0] if found else "")  # our own drawing
