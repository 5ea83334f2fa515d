"""Every pair of colours that stands on a page keeps the contrast of WCAG 2.2 AA, by day and in the evening.

Text needs 4.5 (success criterion 1.4.3), borders and signs need 3.0 (1.4.11). Ratios are compared unrounded, so none is
rounded up to pass. The figures beside the pairs are those the look was decided on.
"""

import pytest

from tests.look.contrast import contrast, laid_over, tokens

LIGHTS = tokens()
TEXT, SIGN = 4.5, 3.0
# what stands, on what, need, by day, in the evening
PAIRS = [
    ("ink", "page", TEXT, 13.65, 15.76),
    ("ink", "paper", TEXT, 15.97, 13.08),
    ("ink", "well", TEXT, 11.67, 14.74),
    ("ink2", "page", TEXT, 7.10, 10.02),
    ("ink2", "paper", TEXT, 8.30, 8.32),
    ("ink2", "well", TEXT, 6.07, 9.38),
    ("varnish", "page", TEXT, 6.59, 8.80),
    ("varnish", "paper", TEXT, 7.71, 7.30),
    ("varnish", "well", TEXT, 5.64, 8.23),
    ("madder", "page", TEXT, 7.12, 9.32),
    ("madder", "paper", TEXT, 8.33, 7.74),
    ("madder", "well", TEXT, 6.08, 8.72),
    ("verdigris", "page", TEXT, 6.04, 10.30),
    ("verdigris", "paper", TEXT, 7.07, 8.55),
    ("verdigris", "well", TEXT, 5.16, 9.63),
    ("tape-ink", "tape", TEXT, 11.73, 8.71),
    ("on-rail", "rail", TEXT, 15.64, 10.33),
    ("on-fill", "varnish", TEXT, 8.04, 8.55),
    ("on-fill", "verdigris", TEXT, 7.36, 10.00),
    ("on-fill", "madder", TEXT, 8.68, 9.05),
    ("madder", "madder-soft", TEXT, 6.94, 6.48),
    ("madder", "varnish-soft", TEXT, 6.70, 5.84),
    ("varnish", "hair", SIGN, 4.57, 4.98),  # a wait's bar on its track
    ("edge", "page", SIGN, 3.79, 4.91),
    ("edge", "paper", SIGN, 4.43, 4.08),
]
# pairs that stand on pages beside those the look was decided on
MORE = [
    ("ink", "varnish-soft", TEXT),
    ("ink", "madder-soft", TEXT),
    ("ink", "verdigris-soft", TEXT),
    ("verdigris", "verdigris-soft", TEXT),
    ("paper", "ink", TEXT),  # the chosen cell of a row
    ("bone", "rail", SIGN),  # the focus ring where the ground is the rail
    ("cord", "page", SIGN),
]


@pytest.mark.parametrize("light", LIGHTS)
@pytest.mark.parametrize(("top", "ground", "need", "day", "evening"), PAIRS)
def test_the_decided_contrasts_are_kept(
    top: str, ground: str, need: float, day: float, evening: float, light: str
) -> None:
    ratio = contrast(LIGHTS[light][top], LIGHTS[light][ground])
    assert ratio >= need
    assert ratio == pytest.approx(day if light == "day" else evening, abs=0.006), "the figure of the look, two digits"


@pytest.mark.parametrize("light", LIGHTS)
@pytest.mark.parametrize(("top", "ground", "need"), MORE)
def test_other_pairs_have_enough_too(top: str, ground: str, need: float, light: str) -> None:
    assert contrast(LIGHTS[light][top], LIGHTS[light][ground]) >= need


@pytest.mark.parametrize("light", LIGHTS)
def test_second_text_on_a_tag_set_back_can_still_be_read(light: str) -> None:
    # tags behind an unfolded one keep 82 per cent of their text's strength, on their own paper
    paper = LIGHTS[light]["paper"]
    assert contrast(laid_over(LIGHTS[light]["ink2"], paper, 0.82), paper) >= TEXT


def test_both_lights_name_the_same_colours() -> None:
    assert set(LIGHTS["evening"]) == set(LIGHTS["day"])
    assert {"page", "paper", "well", "ink", "ink2", "edge", "hair", "tape", "rail", "cord"} <= set(LIGHTS["day"])
