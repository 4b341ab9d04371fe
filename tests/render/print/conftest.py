"""What tests of printed pieces share."""

import pytest
import wordfaces

from passport.render.theme import assets


@pytest.fixture(scope="module")
def lent(tmp_path_factory):
    """The workshop has the typefaces that some languages' words are lent."""
    content = tmp_path_factory.mktemp("content")
    with pytest.MonkeyPatch.context() as patch:
        wordfaces.add(content, patch)
        with assets.using(content):
            yield
