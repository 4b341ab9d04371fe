"""Each module's settings of this user are its own: devices and the certificate are kept there."""

import pytest


@pytest.fixture(scope="module", autouse=True)
def own_settings(tmp_path_factory):
    """A folder in the place of this user's settings."""
    with pytest.MonkeyPatch.context() as patch:
        folder = tmp_path_factory.mktemp("settings")
        for name in ("XDG_CONFIG_HOME", "APPDATA", "LOCALAPPDATA"):
            patch.setenv(name, str(folder))
        yield folder
