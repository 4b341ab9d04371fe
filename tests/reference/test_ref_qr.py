"""QR codes against ISO/IEC 18004: sizes, quiet zone, capacities, fixed patterns."""

import pytest

from passport.render.drawing.qr import QUIET, qr_matrix, qr_svg

# ISO/IEC 18004, 7-7-1-3-1: the finder pattern is three nested squares of 7, 5 and 3 modules.
FINDER = ("1111111", "1000001", "1011101", "1011101", "1011101", "1000001", "1111111")


@pytest.mark.parametrize("count", [1, 30, 60, 120, 400, 1000])
def test_side_is_17_and_4_a_version(count: int) -> None:
    """A symbol of version v is 17 + 4·v modules wide (ISO/IEC 18004)."""
    code = qr_matrix("x" * count)
    assert len(code.matrix) == 17 + 4 * code.version
    assert all(len(row) == len(code.matrix) for row in code.matrix)


def test_quiet_zone_is_4_modules() -> None:
    """Four light modules stand on each side (ISO/IEC 18004), in the size and in the picture."""
    code = qr_matrix("A")
    assert QUIET == 4
    assert code.side == 17 + 4 * code.version + 8
    assert 'd="M4 4h7' in qr_svg(code, "t", key="k")


@pytest.mark.parametrize(
    ("level", "version", "capacity"),
    # ISO/IEC 18004, table of data capacities, 8-bit bytes.
    [
        *(("Q", version, count) for version, count in enumerate((11, 20, 32, 46, 60, 74, 86), start=1)),
        *(("H", version, count) for version, count in enumerate((7, 14, 24, 34, 44, 58, 64), start=1)),
    ],
)
def test_byte_capacity(level: str, version: int, capacity: int) -> None:
    """A text of a version's capacity takes that version, one byte more the next (ISO/IEC 18004)."""
    for extra in (0, 1):
        text = "x" * (capacity + extra)
        # Room for this version's side alone: level H where it fits, else Q.
        code = qr_matrix(text) if level == "H" else qr_matrix(text, 17 + 4 * (version + extra) + 8)
        assert code.version == version + extra
        assert extra or code.level == level


@pytest.mark.parametrize(("level", "capacity"), [("Q", 47), ("H", 35)])
def test_alphanumeric_capacity_of_version_3(level: str, capacity: int) -> None:
    """Version 3 holds 47 upper-case characters at level Q and 35 at H (ISO/IEC 18004, from memory)."""
    assert qr_matrix("A" * capacity, 37).level == level
    assert qr_matrix("A" * capacity, 37).version == 3


def test_finder_patterns_stand_in_three_corners() -> None:
    """The finder pattern stands in three corners and not in the fourth (ISO/IEC 18004)."""
    matrix = qr_matrix("HTTPS://RACQUETS.EXAMPLE").matrix
    end = len(matrix) - 7

    def corner(x: int, y: int) -> tuple[str, ...]:
        return tuple("".join("01"[matrix[y + j][x + i]] for i in range(7)) for j in range(7))

    assert corner(0, 0) == corner(end, 0) == corner(0, end) == FINDER
    assert corner(end, end) != FINDER
