"""``passport hosting``: the set-up of a web server with the workshop's own host."""

import smallshop
from commandline import full_disk, passport, refused


def test_host_path_and_folder_are_the_workshops_own(tmp_path):
    """The set-up names the host of the address, its path where it has one, and the folder that is said."""
    shop = smallshop.write(tmp_path / "shop")
    said = passport("hosting", shop, "nginx", "--root", "/home/shop/web")
    assert said.exit_code == 0
    for words in (
        "server_name cards.bench-nine.example;",
        "root /home/shop/web;",
        "error_page 404 /p/404.html;",
        '"~^/p/[0-9A-Z]{26}/"',
    ):
        assert words in said.stdout
    assert "%" not in said.stdout


def test_it_is_written_to_a_file(tmp_path, monkeypatch):
    """With --out the same text is in that file; a full disk is told of."""
    shop = smallshop.write(tmp_path / "shop")
    printed = passport("hosting", shop, "caddy").stdout
    assert passport("hosting", shop, "caddy", "--out", tmp_path / "Caddyfile").exit_code == 0
    assert (tmp_path / "Caddyfile").read_text() == printed
    monkeypatch.setattr("passport.records.transaction.atomic.write", full_disk)
    refused(passport("hosting", shop, "caddy", "--out", tmp_path / "other"), "No space left")


def test_without_a_workshop_it_is_a_misuse(tmp_path):
    """A folder without workshop.yaml is a wrong usage."""
    assert passport("hosting", tmp_path, "nginx").exit_code == 2
