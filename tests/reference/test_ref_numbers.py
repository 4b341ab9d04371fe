"""Check characters against ISO/IEC 7064 MOD 11-2 as the python-stdnum package computes it."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum.iso7064 import mod_11_2

from passport.records.schema import numbers

CHARACTERS = "0123456789X"


@given(st.integers(0, 99_999_999))
def test_check_character_agrees_with_stdnum(serial: int) -> None:
    """Every check character is the one that python-stdnum computes for the same digits."""
    digits, _, check = numbers.with_check(serial).partition("-")
    assert check == mod_11_2.calc_check_digit(digits)


@given(st.text("0123456789", min_size=3, max_size=8), st.sampled_from(CHARACTERS))
def test_soundness_agrees_with_stdnum(digits: str, check: str) -> None:
    """A number is sound exactly where python-stdnum finds it valid."""
    assert (numbers.problem(f"{digits}-{check}") is None) == mod_11_2.is_valid(digits + check)


@pytest.mark.parametrize(("digits", "check"), [("0794", "0"), ("079", "X")])
def test_the_worked_examples(digits: str, check: str) -> None:
    """0794 has the check character 0 and 079 has X: the examples in python-stdnum's documentation of MOD 11-2."""
    assert numbers.check_character(digits) == check


@pytest.mark.parametrize("serial", [1, 1001, 1042, 1234, 9876, 20_015, 99_999, 12_345_678])
def test_every_single_wrong_digit_is_caught(serial: int) -> None:
    """Changing any one digit, the check character included, to any other is noticed: the purpose of ISO/IEC 7064."""
    number = numbers.with_check(serial)
    places = [i for i, c in enumerate(number) if c != "-"]
    for i, wrong in itertools.product(places, CHARACTERS):
        if wrong != number[i]:
            assert numbers.problem(number[:i] + wrong + number[i + 1 :]) is not None


@given(st.integers(0, 99_999_999))
def test_every_swap_of_neighbours_is_caught(serial: int) -> None:
    """Swapping two neighbours, the check character included, is noticed: the purpose of ISO/IEC 7064."""
    text = numbers.with_check(serial).replace("-", "")
    for i in range(len(text) - 1):
        swapped = text[:i] + text[i + 1] + text[i] + text[i + 2 :]
        if swapped != text:
            assert numbers.problem(f"{swapped[:-1]}-{swapped[-1]}") is not None
