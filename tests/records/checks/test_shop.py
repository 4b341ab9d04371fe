"""The check of the workshop's own record."""

import pytest
import smallshop
from commandline import passport

ADDRESS = "https://cards.bench-nine.example/p"


@pytest.mark.parametrize(
    ("address", "warned"),
    [
        ("https://passports.example", True),
        ("http://Passports.example/p/", True),
        (ADDRESS, False),
        ("https://passports.example.org", False),
    ],
)
def test_the_address_that_stands_in(address, warned, tmp_path):
    """The address that a new workshop begins with is warned of, with its line; another one is not."""
    shop = smallshop.FILES["workshop.yaml"].replace(ADDRESS, address)
    _, faults = smallshop.read(tmp_path, {"workshop.yaml": shop})
    found = [f for f in faults if f.rule == "placeholder-address"]
    assert [(f.severity, f.place.line) for f in found] == ([("warning", 3)] if warned else [])


def test_a_new_workshop_is_told_until_it_has_an_address(tmp_path):
    """`check` and `build` speak of the address that `start` wrote, and are silent once the real one stands there."""
    shop, site = tmp_path / "shop", tmp_path / "site"
    passport("start", shop, "--yes")
    for command in (("check", shop), ("build", shop, "--out", site, "--no-cards")):
        result = passport(*command)
        assert result.exit_code == 0
        assert "lead nowhere" in result.output
    record = shop / "workshop.yaml"
    record.write_text(record.read_text(encoding="utf-8").replace("https://passports.example", ADDRESS), "utf-8")
    assert "lead nowhere" not in passport("check", shop).output
