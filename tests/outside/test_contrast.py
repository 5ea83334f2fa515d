"""The contrast ratio of WCAG 2.2 against values published for its formula: computed apart from this code."""

import pytest

from tests.look.contrast import colour, contrast, luminance

WHITE = "#ffffff"


@pytest.mark.parametrize(
    ("one", "ratio"),
    [
        ("#000000", 21.00),
        ("#767676", 4.542),
        ("#777777", 4.478),
        ("#595959", 7.005),
        ("#949494", 3.033),
        ("#959595", 2.995),
        ("#ff0000", 3.998),
        ("#0000ff", 8.592),
        ("#008000", 5.137),
        ("#ffff00", 1.074),
    ],
)
def test_contrast_with_white(one: str, ratio: float) -> None:
    assert contrast(colour(one), colour(WHITE)) == pytest.approx(ratio, abs=0.0006)
    assert contrast(colour(WHITE), colour(one)) == contrast(colour(one), colour(WHITE))


def test_the_borders_of_aa_aaa_and_signs_fall_where_they_should() -> None:
    assert contrast(colour("#767676"), colour(WHITE)) >= 4.5 > contrast(colour("#777777"), colour(WHITE))
    assert contrast(colour("#949494"), colour(WHITE)) >= 3 > contrast(colour("#959595"), colour(WHITE))
    assert contrast(colour("#595959"), colour(WHITE)) >= 7


def test_relative_luminance_of_middle_grey() -> None:
    assert luminance(colour("#808080")) == pytest.approx(0.215861, abs=1e-6)


@pytest.mark.parametrize("level", range(256))
def test_both_thresholds_of_the_definition_agree_for_eight_bit_colours(level: int) -> None:
    share = level / 255
    assert (share <= 0.03928) == (share <= 0.04045)
