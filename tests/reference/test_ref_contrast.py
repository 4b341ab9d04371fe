"""Contrast against the definitions in WCAG 2.2."""

import pytest

from passport.render.theme.palette import contrast, luminance


@pytest.mark.parametrize(
    ("first", "second", "ratio"),
    [
        # WCAG 2.2, definition of contrast ratio: "contrast ratios can range from 1 to 21".
        ("#000000", "#ffffff", 21.0),
        ("#123456", "#123456", 1.0),
        # WCAG 2.2 definition worked through by hand for grey 0x76: c = ((0.462745 + 0.055) / 1.055)^2.4 = 0.181164,
        # 1.05 / 0.231164 = 4.5422; grey 0x77 is the first that fails 4.5:1 on white.
        ("#767676", "#ffffff", 4.5422),
        ("#777777", "#ffffff", 4.4781),
        # WCAG 2.2 definition: pure red has luminance 0.2126, so 1.05 / 0.2626; pure blue 1.05 / 0.1222.
        ("#ff0000", "#ffffff", 3.9985),
        ("#0000ff", "#ffffff", 8.5925),
    ],
)
def test_contrast_ratio_by_wcag(first: str, second: str, ratio: float) -> None:
    """The contrast ratio is that of the WCAG 2.2 definition."""
    assert contrast(first, second) == pytest.approx(ratio, abs=1e-4)


def test_luminance_weights_by_wcag() -> None:
    """The primaries weigh 0.2126, 0.7152 and 0.0722, WCAG 2.2 definition of relative luminance."""
    assert [luminance(c) for c in ("#ff0000", "#00ff00", "#0000ff")] == pytest.approx([0.2126, 0.7152, 0.0722])


def test_luminance_of_a_dark_channel_is_linear() -> None:
    """Channels up to 0.04045 are divided by 12.92, WCAG 2.2 definition of relative luminance."""
    assert luminance("#0a0a0a") == pytest.approx(10 / 255 / 12.92)
