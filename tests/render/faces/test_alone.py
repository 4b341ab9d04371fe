"""System fonts are never taken silently."""

import os

from passport.render.faces.alone import alone
from passport.render.theme import assets


def test_the_setting_holds_inside_the_block_alone(monkeypatch) -> None:
    """What stood there before stands there afterwards, also where nothing did."""
    monkeypatch.delenv("FONTCONFIG_FILE", raising=False)
    with alone(assets.fonts()):
        assert os.environ["FONTCONFIG_FILE"].endswith("alone.conf")
    assert "FONTCONFIG_FILE" not in os.environ
    monkeypatch.setenv("FONTCONFIG_FILE", "mine")
    with alone(assets.fonts()):
        pass
    assert os.environ["FONTCONFIG_FILE"] == "mine"
