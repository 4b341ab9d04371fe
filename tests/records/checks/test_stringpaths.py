"""The string's path: what can be strung passes, what cannot is shown where it breaks with the nearest that can."""

from pathlib import Path

import pytest
from overlay import checked, rules, underlined

from passport.records.faults import Fault

PATTERN = (
    "mains: 16, crosses: 19, skips: mains 8 at throat and head, tie_offs: mains 6 throat; crosses 5 head and 11 throat"
)
MAINS = "mains: {string: reed-125, tension: 24 kg}"


def faults(tmp_path: Path, strings: str, pattern: str = PATTERN) -> list[Fault]:
    """The faults of one job on a frame with a pattern."""
    model = (
        "elm-98: {maker: Tarn, name: Elm 98, sport: tennis, length: 685 mm, head: {length: 330 mm, width: 248 mm},"
        f" rim: 11 mm, handle: {{length: 200 mm, width: 31 mm}}, pattern: {{{pattern}}}, tension: {{high: 26 kg}}}}\n"
    )
    frame = f"model: elm-98\nlabel: Third\njobs: [{{date: 2026-05-01, strings: {{{MAINS}, {strings}}}}}]\n"
    base = Path(__file__).parents[2] / "faults" / "_base" / "catalogue" / "frames.yaml"
    files = {"catalogue/frames.yaml": base.read_text(encoding="utf-8") + model, "players/ines/third.yaml": frame}
    return [fault for fault in checked(tmp_path, files)[1] if fault.rule != "unlikely"]


@pytest.mark.parametrize("strings", [
    "path: one piece",
    "'path': 'one piece, mains from the throat'",
    "'path': 'one piece, mains from the throat, crosses from the throat', tie_offs: mains 6 throat; crosses 5 head",
    "'path': 'one piece, mains from the head, crosses from the head', tie_offs: mains 6 head; crosses 11 throat",
    "'path': 'around the world, mains from the throat, crosses from the head', tie_offs: crosses 11 throat; mains 5 head",
    "'path': 'box, mains from the throat, crosses from the head, short side right'",
    "'path': 'two pieces, mains from the throat, crosses from the head', tie_offs: mains 6 throat; crosses 5H 11T",
    "'path': 'two pieces, crosses from the throat', knots: 4",
    "pieces: 1, knots: 2",
    "pieces: 1, mains_start: throat, crosses_start: unknown",
    "path: unknown",
    "tie_offs: as they were",
])  # fmt: skip
def test_what_can_be_strung_passes(tmp_path, strings):
    """With 8 mains a side one piece comes back to where it started; other ways lead to the other end (plain counting)."""
    assert faults(tmp_path, strings) == []


@pytest.mark.parametrize(("strings", "under", "what", "do"), [
    ("pieces: 1, mains_start: throat, crosses_start: head", "head",
     "8 mains a side that start at the throat end at the throat, so one piece cannot go on from them to crosses at the"
     " head.",
     "'path: around the world, mains from the throat, crosses from the head'"),
    ("'path': 'around the world, mains from the throat, crosses from the throat'", None,
     "8 mains a side that start at the throat end at the throat, and around the world takes the string to the head, so"
     " the crosses cannot begin at the throat.",
     "'path: one piece, mains from the throat, crosses from the throat'"),
    ("'path': 'one piece, mains from the throat', tie_offs: mains 6 head", "mains 6 head",
     "No end of the mains is at the head: they end in hole 9 at the throat, left.", "Correct the hole"),
    ("'path': 'one piece, mains from the throat', tie_offs: mains 6 throat and 5 throat", "mains 6 throat and 5 throat",
     "'mains 5 throat' is one tie-off more than the mains have ends at the throat.", "Correct the hole"),
    ("'path': 'one piece, mains from the throat', tie_offs: mains 9 throat", "mains 9 throat",
     "Main 8 on the left comes out of hole 9 at the throat, left, so it cannot be tied off in it.", "Correct the hole"),
    ("'path': 'two pieces, mains from the head, crosses from the head', tie_offs: crosses 40 throat", "crosses 40 throat",
     "There is no hole 40 at the throat, right to tie off in: that side has 35 holes in all.", "Correct the hole"),
    ("path: our own", "our own", "The pattern of 'elm-98' has no variant 'our own'.", "Write 'one piece'"),
])  # fmt: skip
def test_what_cannot_is_shown_where_it_breaks(tmp_path, strings, under, what, do):
    """Parity, ends and knots of the path; what to write instead is something that can be strung."""
    (fault,) = faults(tmp_path, strings)
    assert fault.rule == "string-path"
    assert fault.what == what
    assert do in fault.do
    if under:
        assert underlined(fault) == under


@pytest.mark.parametrize("strings", [
    "'path': 'one piece, crosses from the head', crosses_start: throat",
    "path: two pieces, pieces: 1",
    "'path': 'one piece, two pieces'",
    "'path': 'mains from the side'",
])  # fmt: skip
def test_two_things_at_once_are_refused(tmp_path, strings):
    """A path and the fields of the same meaning agree, and its words are those that are known."""
    assert rules(faults(tmp_path, strings)) == ["string-path"]


def test_the_makers_pattern_takes_part(tmp_path):
    """One piece on a frame whose maker starts mains at the throat and crosses at the head: the way was another one."""
    (fault,) = faults(tmp_path, "pieces: 1, knots: 2", PATTERN + ", mains_start: throat, crosses_start: head")
    assert underlined(fault) == "1"
    assert "'crosses_start: unknown' where nobody knows" in fault.do
    assert faults(tmp_path / "b", "pieces: 1, crosses_start: unknown", PATTERN + ", mains_start: throat") == []


@pytest.mark.parametrize(("pattern", "rule", "what"), [
    ("mains: 16, crosses: 19, skips: mains 12 throat", "string-holes",
     "8 mains a side end in hole 8 at the throat, left, so they skip no hole 12 at the throat, left."),
    ("mains: 16, crosses: 19, blocked: as drilled", "string-holes", "'as drilled' names no holes."),
    ("mains: 16, crosses: 19, skips: 7T, blocked: 7T", "string-holes",
     "Hole 7 at the throat, left is blocked, so no string can take it."),
    ("mains: 16, crosses: 19, mains_start: throat, variants: [{name: ours, path: 'one piece, crosses from the head'}]",
     "string-path",
     "8 mains a side that start at the throat end at the throat, so one piece cannot go on from them to crosses at the"
     " head."),
    ("mains: 16, crosses: 19, mains_start: throat,"
     " variants: [{name: ours, order: 'short: mains 1-8; long: mains 1-8, crosses 1-19'}]", "string-path",
     "Main 8 on the right ends in hole 8 at the throat, right, and cross 1 begins in hole 9 at the head, right: 19 holes"
     " further round the hoop."),
    ("mains: 16, crosses: 19, mains_start: throat,"
     " variants: [{name: ours, order: 'short: mains 1-8; long: mains 1-8, crosses 19-2'}]", "string-path",
     "Cross 1 is not strung."),
    ("mains: 16, crosses: 19, mains_start: throat,"
     " variants: [{name: ours, order: 'short: mains 1-8; long: mains 1-8, mains 8, crosses 19-1'}]", "string-path",
     "Main 8 on the right is strung twice."),
])  # fmt: skip
def test_a_pattern_that_does_not_agree_with_itself(tmp_path, pattern, rule, what):
    """Holes that cannot be there and variants that cannot be strung are shown in the catalogue, each once."""
    (fault,) = faults(tmp_path, "knots: 2", pattern)
    assert (fault.rule, fault.what) == (rule, what)


def test_a_job_names_a_variant(tmp_path):
    """The variant's way and tie-offs are the job's, which is checked with what it says itself."""
    pattern = (
        PATTERN + ", mains_start: throat, variants: ["
        "{name: ours, path: 'around the world, crosses from the head', by: shop},"
        "{name: woven, order: 'short: mains 1-7; long: mains 1-8, cross 19, short main 8, crosses 1-18'}]"
    )
    assert faults(tmp_path / "a", "path: ours", pattern) == []
    assert faults(tmp_path / "b", "path: Woven", pattern) == []
    (fault,) = faults(tmp_path / "c", "path: ours, tie_offs: mains 6 throat", pattern)
    assert fault.what == "No end of the mains is at the throat: they end in hole 7 at the head, left."


def test_a_jobs_own_skips_agree_with_the_counts(tmp_path):
    """Skips of a job that the mains cannot leave out are its own fault, said once and at their place."""
    (fault,) = faults(tmp_path / "a", "path: one piece, skips: mains 12 at throat and head")
    assert (fault.rule, underlined(fault)) == ("string-holes", "mains 12 at throat and head")
    assert faults(tmp_path / "b", "path: one piece, skips: mains 7 at throat and head") == []
