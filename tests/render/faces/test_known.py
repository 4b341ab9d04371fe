"""The files that the program knows."""

import re

from passport.render.faces.known import KNOWN, SCRIPTS, by_bytes, named, script_of


def test_each_script_has_a_face_for_every_style() -> None:
    """For each script there is a regular and a bold face, and one that goes with the headings."""
    for script in SCRIPTS:
        looks = {(known.bold, known.serif) for known in KNOWN if known.script == script}
        assert looks == {(False, False), (True, False), (True, True)}, script
        first = named(script, bold=True, serif=True)[0]
        assert first.bold and first.serif


def test_files_are_known_by_their_bytes_alone() -> None:
    """Each has a sum of its own (FIPS 180-4: 256 bits), and other bytes are none of them."""
    assert len({known.sha256 for known in KNOWN}) == len({known.name for known in KNOWN}) == len(KNOWN)
    assert all(re.fullmatch("[0-9a-f]{64}", known.sha256) for known in KNOWN)
    assert by_bytes(b"") is None


def test_a_sign_tells_its_script() -> None:
    """Signs of one script are told by their names in the Unicode Character Database."""
    found = {sign: script_of(sign) for sign in "山あアー、「한محअকதไខА"}
    assert {found[sign] for sign in "山あアー、「한"} == {"CJK"}
    assert (found["م"], found["अ"], found["ไ"], found["А"]) == ("Arabic", "Devanagari", "Thai", "")
