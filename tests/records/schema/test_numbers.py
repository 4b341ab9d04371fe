"""Passport numbers with their check character, and keys."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from passport.records.schema import numbers


@given(st.integers(0, 99_999_999))
def test_a_made_number_is_sound_and_gives_its_serial_back(serial: int) -> None:
    """Every number that is issued passes its own check and holds its running number."""
    number = numbers.with_check(serial)
    assert numbers.problem(number) is None
    assert numbers.running_number(number) == serial


def test_a_number_has_four_digits_or_more() -> None:
    """Small serials are filled up, so that all cards of a shop look alike."""
    assert [numbers.with_check(n).partition("-")[0] for n in (1, 1001, 12345)] == ["0001", "1001", "12345"]


@given(st.integers(0, 99_999_999), st.sampled_from(["{}", " {} ", "{} ", "no hyphen", "lower", "spaced", "dash"]))
def test_a_number_as_people_type_it_is_normalised(serial: int, habit: str) -> None:
    """A missing hyphen, a space, a dash or a small x lead to the written form."""
    number = numbers.with_check(serial)
    typed = {
        "no hyphen": number.replace("-", ""),
        "lower": number.lower(),
        "spaced": number.replace("-", " "),
        "dash": number.replace("-", "–"),
    }.get(habit, habit.format(number))
    assert numbers.normalise(typed) == number


@pytest.mark.parametrize("text", ["", "X", "no. 17", "1042", "1042-9-1", "١٠٤٢-9", "1042-Y", "10-4", "123456789-1"])
def test_what_has_not_the_form_of_a_number_says_so(text: str) -> None:
    """Text of another form is refused with the form that is wanted."""
    problem = numbers.problem(text)
    assert problem is not None
    assert "is not a passport number" in problem
    assert numbers.with_check(1042) in problem


def test_a_wrong_check_character_is_called_a_typo_and_not_corrected() -> None:
    """Nobody can tell which digit is wrong, so no right number is offered."""
    problem = numbers.problem("1042-8")
    assert problem is not None
    assert "typo" in problem
    assert numbers.with_check(1042) not in problem


@pytest.mark.parametrize("text", ["", "X", "typed nonsense", "--"])
def test_normalising_nonsense_raises_nothing(text: str) -> None:
    """Whatever is typed at the bench can be looked up, and is then not found."""
    assert numbers.problem(numbers.normalise(text)) is not None


def test_keys_have_more_than_120_bits() -> None:
    """A key is long enough for a capability URL: 120 bits or more.

    W3C TAG finding "Good Practices for Capability URLs".
    """
    assert numbers.KEY_BITS >= 120
    assert len(set(numbers.ALPHABET)) == 32
    assert numbers.KEY_LENGTH * 5 == numbers.KEY_BITS


def test_keys_are_well_formed_and_never_the_same() -> None:
    """A thousand fresh keys all have the form of a key, and no two are equal."""
    keys = {numbers.new_key() for _ in range(1000)}
    assert len(keys) == 1000
    assert all(map(numbers.is_key, keys))


def test_every_letter_of_a_key_is_about_as_frequent() -> None:
    """Each of the 32 letters stands for 5 random bits: none is more frequent than chance allows.

    Pearson's chi-squared with 31 degrees of freedom exceeds 90 once in ten million runs (from memory).
    """
    text = "".join(numbers.new_key() for _ in range(2000))
    expected = len(text) / 32
    assert sum((text.count(c) - expected) ** 2 / expected for c in numbers.ALPHABET) < 90


@pytest.mark.parametrize("text", ["", "A" * 25, "A" * 27, "a" * 26, "I" * 26, "A" * 25 + "\n", "А" * 26])
def test_what_is_not_a_key(text: str) -> None:
    """Wrong lengths, small letters, misleading letters and look-alikes of another alphabet are no keys."""
    assert not numbers.is_key(text)
