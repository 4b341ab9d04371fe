"""New players, frames, models and strings as one change."""

import manynames
import pytest
import smallshop

from passport.acts.adding.additions import MODELS, STRINGS, Additions, FreshKeys
from passport.acts.change import base_of, carry_out
from passport.acts.refused import Refused
from passport.cli.shared.change import Options, asking_of
from passport.records.ledger import ledger
from passport.records.load import load
from passport.records.schema import numbers
from passport.workshop.entry.newcomers import NewFrame, NewModel, NewPlayer, NewString

STRING = NewString("Oxbow", "Gorse 1.30", "1.30 mm", "polyester")
MODEL = NewModel("Tarn", "Rowan 100", "tennis", "100 sq in")


@pytest.fixture
def content(tmp_path):
    """The small workshop."""
    return smallshop.write(tmp_path / "content")


def everything(base, keys, site):
    """A player, a model, a string and two frames at once."""
    new = Additions(base, keys, site)
    new.string(STRING)
    model = new.model(MODEL)
    player = new.player(NewPlayer("王小明", "", "fr", "w@ropewalk.example", "01632 960123", "3"))
    new.frame(NewFrame(player, model, "I", "L3"))
    new.frame(NewFrame(player, "larch-98", "I"))
    return new.change("Everything new")


def test_all_that_is_new_is_written_in_one_change(content, tmp_path, monkeypatch):
    """Names are made by the program, numbers and keys given out and put into the ledger; the records stay sound."""
    manynames.add(content, monkeypatch)
    keys = FreshKeys()
    asking = asking_of(Options(yes=True))
    after = carry_out(content, "passport test", lambda base: everything(base, keys, tmp_path / "site"), asking)
    assert after
    records, faults = load(content)
    assert not [fault for fault in faults if fault.severity == "error"]
    player = records.players["wangxiaoming"].record
    assert (player.name, player.language, player.plays_a_week) == ("王小明", "fr", 3)
    assert (player.contact.email, player.contact.phone) == ("w@ropewalk.example", "01632 960123")
    assert records.strings["gorse-130"].record.gauge.value == 1.3
    model = records.models["tarn-rowan-100"].record
    assert model.head.size
    assert (model.length, model.pattern, model.mass) == (None, None, None)
    one, two = (records.frames[f"wangxiaoming/{name}"].record for name in ("i", "i-2"))
    assert (one.model, two.model, one.grip, two.grip) == ("tarn-rowan-100", "larch-98", "L3", "")
    first = max(map(numbers.running_number, smallshop.NUMBERS.values())) + 1
    assert [one.number, two.number] == [numbers.with_check(first), numbers.with_check(first + 1)]
    known = ledger.read(content)
    assert known
    assert {player.key, one.key, two.key} <= set(known.issued)
    assert len(set(known.issued)) == len(known.issued)


def test_what_is_there_is_not_named_again(content, tmp_path):
    """A second string, model, player of the same name get names of their own, and files that no record was read from count."""
    (content / "players" / "zoe").mkdir()
    new = Additions(base_of(content), FreshKeys(), tmp_path / "site")
    assert new.string(NewString("Other", "Reed 1.25", "1.25 mm", "nylon")) == "reed-125-2"
    assert [new.model(MODEL), new.model(MODEL)] == ["tarn-rowan-100", "tarn-rowan-100-2"]
    assert [new.player(NewPlayer("Zoë")), new.player(NewPlayer("Zoe"))] == ["zoe-2", "zoe-3"]
    assert new.frame(NewFrame("ada", "larch-98", "Player")) == "ada/player-2"
    assert set(new.files) >= {STRINGS, MODELS}


def test_the_same_keys_are_given_when_it_is_worked_out_anew(content, tmp_path):
    """A change that is worked out again because another command wrote meanwhile is the same change."""
    keys = FreshKeys()
    one, two = (everything(base_of(content), keys, tmp_path / "site") for _ in range(2))
    assert one == two


def test_what_lacks_a_field_is_refused(content, tmp_path):
    """Nothing is made up in place of what was not said."""
    new = Additions(base_of(content), FreshKeys(), tmp_path / "site")
    with pytest.raises(Refused, match="needs gauge and material too"):
        new.string(NewString("Oxbow", "Gorse"))
    with pytest.raises(Refused, match="needs head too"):
        new.model(NewModel("Tarn", "Rowan", "tennis"))
    with pytest.raises(Refused, match="has a name"):
        new.player(NewPlayer("  "))
    assert not new.files
