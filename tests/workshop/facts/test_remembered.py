"""What is worked out of a frame's record is worked out once, until the record or what all share is another."""

from dataclasses import replace

import smallshop

from passport.records.load import Entry, load
from passport.workshop.facts.remembered import FrameMemory
from passport.workshop.stockroom.use import UseBook


def test_only_what_changed_is_worked_out_again(tmp_path):
    """A frame whose record was read anew, all of them where what they share changed, none where nothing did."""
    content = load(smallshop.write(tmp_path))[0]
    memory, asked = FrameMemory[str](), list[str]()

    def work(name, frame):
        asked.append(name)
        return f"{name} {frame.label}"

    first = memory.of(content, ("a",), work)
    assert asked == list(content.frames) and len(asked) > 1
    asked.clear()
    assert memory.of(content, ("a",), work) == first and asked == []
    entry = content.frames["ada/main"]
    other = Entry(entry.name, entry.record.model_copy(update={"label": "Other"}), entry.source)
    changed = replace(content, frames={**content.frames, "ada/main": other})
    assert memory.of(changed, ("a",), work)["ada/main"] == "ada/main Other" and asked == ["ada/main"]
    asked.clear()
    fewer = replace(content, frames={"ada/main": entry})
    assert list(memory.of(fewer, ("a",), work)) == asked == ["ada/main"]
    asked.clear()
    memory.of(content, ("b",), work)
    assert asked == list(content.frames)


def test_the_book_of_a_workshop_is_no_other_shop_s(tmp_path):
    """Two shops with frames of the same names, one after the other: each book is of its own records, asked again or not."""
    one = load(smallshop.write(tmp_path / "one"))[0]
    text = smallshop.FILES["players/ada/main.yaml"]
    two = load(smallshop.write(tmp_path / "two", {"players/ada/main.yaml": text.partition("jobs:")[0]}))[0]
    books = [UseBook.of(content).uses for content in (one, two, one)]
    assert books[0] == books[2] != books[1]
    assert {use.frame for uses in books[0].values() for use in uses} >= {"ada/main"}
    assert not {use.frame for uses in books[1].values() for use in uses} & {"ada/main"}
