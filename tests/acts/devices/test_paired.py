"""The list of devices and this computer's certificate: what is kept, for how long, and what is not believed."""

import subprocess
from datetime import date, timedelta

import pytest

from passport.acts.devices import certificate, kept, paired
from passport.acts.devices.certificate import own_certificate
from passport.acts.devices.paired import MOST, UNSEEN, PairedDevices
from passport.acts.refused import Refused


@pytest.fixture(autouse=True)
def settings(tmp_path, monkeypatch):
    """A folder in the place of this user's settings, and a day."""
    for name in ("XDG_CONFIG_HOME", "APPDATA", "LOCALAPPDATA"):
        monkeypatch.setenv(name, str(tmp_path / "settings"))
    monkeypatch.setattr(paired, "today", lambda: date(2026, 11, 25))


def test_a_device_that_did_not_come_for_a_year_is_forgotten(tmp_path, monkeypatch):
    """One that came stays; one that did not is let in no more, though nobody forgot it."""
    devices = PairedDevices(tmp_path)
    old, new = devices.add("old", contacts=False), devices.add("new", contacts=True)
    monkeypatch.setattr(paired, "today", lambda: date(2026, 11, 25) + UNSEEN)
    devices.greet(devices.of(new))
    monkeypatch.setattr(paired, "today", lambda: date(2026, 11, 26) + UNSEEN)
    assert devices.of(old) is None and devices.of(new).contacts
    assert [one.name for one in devices.listed()] == ["new"]


def test_names_are_plain_and_short_and_the_list_is_bounded(tmp_path):
    """A name is one line of print; of too many devices the one that was away the longest makes room."""
    devices = PairedDevices(tmp_path)
    devices.add("a\n\x1b[31m" + "b" * 100, contacts=False)
    devices.add("", contacts=False)
    assert [one.name for one in devices.listed()] == ["a [31m" + "b" * 34, "?"]
    for place in range(MOST):
        devices.add(str(place), contacts=False)
    assert len(devices.listed()) == MOST and devices.listed()[-1].name == str(MOST - 1)


@pytest.mark.parametrize("text", ["", "{", "[1]", '[{"name": "x"}]', '{"name": 1}', "null", "\xff", "3"])
def test_a_damaged_list_lets_nobody_in(tmp_path, text):
    """A list that cannot be read is none; the next device begins a new one."""
    devices = PairedDevices(tmp_path)
    key = devices.add("x", contacts=True)
    (path,) = kept.folder().glob("devices-*.json")
    path.write_text(text, encoding="latin-1")
    assert devices.of(key) is None
    assert devices.of(devices.add("y", contacts=False)).name == "y"


def test_where_nothing_can_be_written_it_is_said(tmp_path):
    """A file in the place of the settings refuses the pairing with a word for a person."""
    (tmp_path / "settings").write_text("")
    with pytest.raises(Refused, match="could not be written"):
        PairedDevices(tmp_path).add("x", contacts=False)


def test_the_certificate_is_what_openssl_takes_for_a_server_s(tmp_path):
    """OpenSSL reads the same fingerprint off it, takes it for a server's under its own address, for 820 days, and not for
    an authority's."""
    made = own_certificate("192.0.2.7")

    def told(*args: str) -> str:
        done = subprocess.run(["openssl", *args], capture_output=True, text=True, check=False)
        return done.stdout + done.stderr

    assert made.fingerprint in told("x509", "-in", str(made.file), "-noout", "-fingerprint", "-sha256")
    text = told("x509", "-in", str(made.file), "-noout", "-text", "-checkip", "192.0.2.7")
    assert "does match certificate" in text and "TLS Web Server Authentication" in text and "CA:FALSE" in text
    assert "OK" in told("verify", "-CAfile", str(made.file), "-partial_chain", "-purpose", "sslserver", str(made.file))
    assert own_certificate("192.0.2.8").fingerprint == made.fingerprint


def test_the_certificate_is_made_anew_before_it_ends(monkeypatch):
    """One that ends within a month, whose key is another's, or that is damaged, is not used."""
    made = own_certificate("192.0.2.7")
    now = certificate._now()
    monkeypatch.setattr(certificate, "_now", lambda: now + timedelta(days=788))
    assert own_certificate("192.0.2.7").fingerprint == made.fingerprint
    monkeypatch.setattr(certificate, "_now", lambda: now + timedelta(days=790))
    later = own_certificate("192.0.2.7")
    assert later.fingerprint != made.fingerprint
    kept.write("certificate.pem", later.file.read_bytes()[:-200])
    assert own_certificate("192.0.2.7").fingerprint != later.fingerprint
