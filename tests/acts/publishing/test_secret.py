"""The password of a host that is published to: for that host alone, and from no file."""

import sys
from types import SimpleNamespace

import pytest

from passport.acts.publishing.secret import VARIABLE, secret_of
from passport.acts.refused import Refused


def test_a_password_is_for_its_host_alone(monkeypatch):
    """C0: records that name another host get nothing of a password that was kept for one."""
    monkeypatch.setenv(VARIABLE, "web.example:correct: horse")
    assert secret_of("Web.example", "shop", None) == "correct: horse"
    with pytest.raises(Refused, match=r"is for 'web.example', and the records name 'evil.example'"):
        secret_of("evil.example", "shop", None)


def test_the_keyring_then_a_person_then_what_to_do(monkeypatch):
    """Without the variable the keyring is asked, under a name with the host in it; then a person; then it is refused."""
    monkeypatch.delenv(VARIABLE, raising=False)
    kept = {("racquet-passport web.example", "shop"): "from the ring"}
    ring = SimpleNamespace(get_password=lambda service, user: kept.get((service, user)))
    monkeypatch.setitem(sys.modules, "keyring", ring)
    assert secret_of("web.example", "shop", None) == "from the ring"
    assert secret_of("other.example", "shop", lambda question: question, needed=True) == (
        "Password or token of shop at other.example (not kept)"
    )
    assert secret_of("other.example", "shop", None) == ""
    with pytest.raises(Refused, match=r"keyring set 'racquet-passport other.example' shop"):
        secret_of("other.example", "shop", None, needed=True)
