"""The quick look at what changed runs the tests that are nearest."""

from changed import fewest, nearest


def test_a_module_is_tested_by_its_room():
    """A module's tests are those of the room that mirrors its own; a changed test is run itself."""
    paths = ("passport/workshop/strings/beds.py", "tests/physics/test_moments.py", "templates/card/tag.html.j2")
    found = fewest(nearest(paths))
    assert found[0] == "tests/physics/test_moments.py"
    assert "tests/workshop/strings" in found
    assert "tests/render/print" in found


def test_what_lies_in_a_room_is_not_named_again():
    """A test file of a room that is run as a whole is left out, and nothing is named twice."""
    assert fewest(["tests/physics", "tests/physics/test_moments.py", "tests/physics"]) == ["tests/physics"]


def test_helpers_and_unknown_files_name_no_test():
    """What no test is near to leads to none: the whole run looks at it."""
    assert list(nearest(["tests/support/smallshop.py", "site/.gitignore"])) == []
