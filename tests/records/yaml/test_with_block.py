"""A block of a record set, exchanged and taken out again, and every other line as it was."""

import pytest
import smallshop
from conftest import DEMO

from passport.records.schema.frame import Frame
from passport.records.yaml import yamltext
from passport.records.yaml.edit import with_block, without
from passport.records.yaml.yamlplace import CannotEdit

ORDER = {
    "taken": "2026-11-20",
    "asked": "two pounds looser: 'as before', please",
    "strings": {
        "mains": {"string": "reed-125", "tension": "23 kg"},
        "crosses": {"string": "reed-125", "tension": "22 kg"},
    },
    "fitted": [{"part": "thin-overgrip", "place": "along the handle"}],
}
TEXTS = [text for name, text in smallshop.FILES.items() if name.startswith("players/") and "player.yaml" not in name]
TEXTS += [p.read_text(encoding="utf-8") for p in sorted((DEMO / "players").glob("*/*.yaml")) if p.name != "player.yaml"]
PLAIN = [text for text in TEXTS if "\norder:" not in text]


def data(text):
    """What a text says."""
    found, _, faults = yamltext.read(text.removeprefix("\ufeff"), "record")
    assert not faults
    return found


@pytest.mark.parametrize("ends", ["\n", "\r\n"], ids=["lf", "crlf"])
@pytest.mark.parametrize("mark", ["", "\ufeff"], ids=["plain", "bom"])
def test_what_is_set_can_be_taken_out_again(ends, mark):
    """In every record, with either line end and with a byte order mark, the text comes back as it was."""
    assert len(PLAIN) > 15
    for text in PLAIN:
        before = mark + text.replace("\n", ends)
        after = with_block(before, "order", ORDER, Frame.model_fields)
        assert data(after) == {**data(before), "order": ORDER}
        assert set(before.splitlines()) <= set(after.splitlines())
        assert ("\r\n" in after) == (ends == "\r\n") and after.count("\n") == after.count(ends)
        assert without(after, "order") == before
        changed = with_block(after, "order", {"asked": "nothing"}, Frame.model_fields)
        assert data(changed)["order"] == {"asked": "nothing"}
        assert without(changed, "order") == before


def test_a_record_in_one_pair_of_brackets_is_left_alone():
    """What cannot be added to safely is refused."""
    with pytest.raises(CannotEdit):
        with_block("{model: larch-98, label: A}\n", "order", ORDER)


def test_a_remark_beside_the_block_stays():
    """The remark on the old line and those around it are kept where the block is taken out."""
    text = "model: larch-98\nrack: as before   # rings on Monday\nlabel: A\n"
    after = with_block(without(text, "rack"), "order", {"asked": "as before"}, Frame.model_fields)
    assert "# rings on Monday" in after
    assert data(after) == {"model": "larch-98", "label": "A", "order": {"asked": "as before"}}
