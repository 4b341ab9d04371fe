"""Lines put into a record's text without touching any other."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from passport.records.yaml import yamltext
from passport.records.yaml.edit import CannotEdit, block_of, job_text, with_first_lines, with_jobs, with_value, without

NEW = {"number": "1042-9", "key": "A" * 26}


def tree(text):
    """The record as it is read; it must be readable."""
    data, _, faults = yamltext.read(text, "x.yaml")
    assert not faults, [fault.text() for fault in faults]
    return data


@pytest.mark.parametrize(
    "text",
    [
        "model: larch-98\nlabel: One\n",
        "# a comment\n\n# another\nmodel: larch-98   # with a remark\n",
        "---\nmodel: larch-98\n",
        "# a comment\n---\n# another\nmodel: larch-98\n",
        "model: larch-98",
        "\n\nmodel: larch-98\n",
        "",
        "# only a comment\n",
        "# only a comment",
        "'model': larch-98\n",
        "build:\n- {part: x, place: '12'}\nmodel: larch-98\n",
        "note: |\n  first\n\n  number: not a key\nmodel: larch-98\n",
        "model: larch-98\n...\n",
        "# only a comment\n---\n",
    ],
)
def test_the_record_gains_the_new_keys_and_nothing_else(text):
    """Afterwards the record reads as before with the new values in front, and every old line is still there."""
    before = tree(text)
    changed = with_first_lines(text, NEW)
    assert tree(changed) == {**NEW, **before}
    left = changed
    for key, value in NEW.items():
        left = left.replace(f"{key}: {value}\n", "", 1)
    assert left.rstrip("\n") == text.rstrip("\n")


def test_line_ends_stay():
    """A file with Windows line ends gets its new lines with the same ends."""
    changed = with_first_lines("# hello\r\nmodel: larch-98\r\n", NEW)
    assert changed == f"# hello\r\nnumber: 1042-9\r\nkey: {'A' * 26}\r\nmodel: larch-98\r\n"


def test_no_values_no_change():
    """Nothing to add leaves the text as it is."""
    assert with_first_lines("# x\nmodel: y\n", {}) == "# x\nmodel: y\n"


KEYS = st.from_regex(r"[a-z]{1,8}", fullmatch=True).filter(lambda k: k not in ("number", "key"))
VALUES = st.from_regex(r"[a-z0-9][a-z0-9 ]{0,10}[a-z0-9]", fullmatch=True)
LINES = st.one_of(
    st.tuples(KEYS, VALUES).map(lambda kv: f"{kv[0]}: {kv[1]}"),
    st.just(""),
    st.from_regex(r"#[ -~]{0,20}", fullmatch=True),
)


@given(st.lists(LINES, max_size=8), st.sampled_from(["\n", "\r\n"]), st.booleans())
def test_any_record_of_plain_lines(lines, end, closed):
    """Whatever comments, blank lines and keys a record has, in either kind of line ends, only the new keys are added."""
    text = end.join(lines) + (end if closed else "")
    data, _, faults = yamltext.read(text, "x.yaml")
    if faults or not isinstance(data, dict):
        return  # the same key twice
    changed = with_first_lines(text, NEW)
    assert tree(changed) == {**NEW, **data}
    rest = iter(changed.splitlines())
    assert all(line in rest for line in text.splitlines()), "the old lines, in their order"


JOB = {
    "date": "2026-11-25",
    "strings": {"mains": {"string": "reed-125", "tension": "24 kg"}},
    "readings": [{"mass": "330 g", "ring": "580 Hz", "age": "15 min"}],
}
WRITTEN = """\
  - date: 2026-11-25
    strings:
      mains: {string: reed-125, tension: 24 kg}
    readings:
      - {mass: 330 g, ring: 580 Hz, age: 15 min}
"""


def only_added(before, after):
    """Whether the text after is the text before with one stretch put in."""
    start = next((i for i, (a, b) in enumerate(zip(before, after, strict=False)) if a != b), len(before))
    rest = before[start:]
    return after.endswith(rest) and len(after) >= len(before)


@pytest.mark.parametrize(
    ("text", "start", "added"),
    [
        ("model: x\njobs:\n  - date: 2026-01-01\n    note: a\n", None, "\n" + WRITTEN),
        ("model: x\njobs:\n  - date: 2026-01-01\n    note: a", None, "\n\n" + WRITTEN),
        ("model: x\n", None, "\njobs:\n" + WRITTEN),
        ("model: x\n# newest last\n", None, "jobs:\n" + WRITTEN),
        ("model: x\njobs:\n  - {date: 2026-01-01}\n  - {date: 2026-02-01}\n", None, WRITTEN),
        ("jobs:\n  - date: 2026-01-01  # seen\n    # both sides\nmodel: x\n", "model: x\n", WRITTEN),
        ("jobs:\n  - date: 2026-01-01\n    note: a\n\n# private\nnote: z\n", "\n# private\nnote: z\n", "\n" + WRITTEN),
        ("jobs:\n  - date: 2026-01-01\n    note: |+\n      a\n\n\nmodel: x\n", "model: x\n", "\n" + WRITTEN),
        ("jobs:   # newest last\nmodel: x\n", "model: x\n", WRITTEN),
    ],
)
def test_a_job_goes_behind_the_last_one(text, start, added):
    """The new job follows the last one and its comments, apart from it as the others stand apart; no old line moves."""
    place = len(text) if start is None else text.index(start)
    jobs = len((yamltext.read(text, "x")[0]["jobs"] or []) if "jobs" in text else [])
    assert with_jobs(text, [(jobs, JOB)]) == text[:place] + added + text[place:]


def test_an_empty_list_opens():
    """``jobs: []`` gives way to the job; the comment beside it stays."""
    assert with_jobs("jobs: []  # none\nmodel: x\n", [(0, JOB)]) == f"jobs:  # none\n{WRITTEN}model: x\n"


def test_a_list_in_brackets_stays_in_brackets():
    """Among jobs in brackets a new one is written in brackets too."""
    text = "jobs: [{date: 2026-01-01}, {date: 2026-02-01}, ]  # two\n"
    changed = with_jobs(text, [(2, {"date": "2026-03-01", "note": "a, b"}), (0, {"date": "2025-01-01"})])
    assert changed == (
        'jobs: [{date: 2025-01-01}, {date: 2026-01-01}, {date: 2026-02-01}, {date: 2026-03-01, note: "a, b"}, ]  # two\n'
    )


def test_the_files_own_indentation_is_kept():
    """Lists that do not stand deeper than their key, wide dashes and Windows line ends are written likewise."""
    text = "jobs:\r\n-   date: 2026-01-01\r\n    fitted:\r\n    -   {part: x, place: '12'}\r\n"
    assert with_jobs(text, [(1, JOB)]) == text + (
        "\r\n-   date: 2026-11-25\r\n    strings:\r\n      mains: {string: reed-125, tension: 24 kg}\r\n"
        "    readings:\r\n    -   {mass: 330 g, ring: 580 Hz, age: 15 min}\r\n"
    )


def test_jobs_between_others():
    """Jobs put in at a place stand before the one that was there, with its comment, in the order given."""
    text = "jobs:\n  - {date: 2026-01-01}\n  # the third\n  - {date: 2026-03-01}\n"
    changed = with_jobs(text, [(1, {"date": "2026-02-01"}), (0, {"date": "2025-01-01"}), (1, {"date": "2026-02-02"})])
    assert changed == (
        "jobs:\n  - date: 2025-01-01\n  - {date: 2026-01-01}\n  - date: 2026-02-01\n  - date: 2026-02-02\n"
        "  # the third\n  - {date: 2026-03-01}\n"
    )


def test_a_byte_order_mark_stays():
    """The mark that some editors put in front of a file stays in front of it."""
    assert with_jobs("\ufeffmodel: x\n", [(0, JOB)]).startswith("\ufeffmodel: x\n")
    assert with_value("\ufeffmodel: x\n", "model", "y") == "\ufeffmodel: y\n"
    assert with_first_lines("\ufeffmodel: x\n", {"key": "K"}) == "\ufeffkey: K\nmodel: x\n"
    assert without("\ufeffa: 1\nmodel: x\n", "a") == "\ufeffmodel: x\n"


@pytest.mark.parametrize(
    "text",
    [
        "{model: x, jobs: [{date: 2026-01-01}]}\n",
        "model: x\njobs: {date: 2026-01-01}\n",
        "model: [x\n",
        "model: x\nmodel: y\n",
        "model: x\n...\n",
    ],
)
def test_what_cannot_be_changed_safely_is_refused(text):
    """A record that cannot be read, or is written so that a job cannot be added, is refused in words."""
    with pytest.raises(CannotEdit, match=r"^[A-Z'].*\.$"):
        with_jobs(text, [(0, JOB)])


def test_a_text_of_several_lines_is_not_replaced():
    """A folded text is not one value on a line, so it is left to a person."""
    with pytest.raises(CannotEdit, match="by hand"):
        with_value("status: >-\n  active\n", "status", "lost")


ORDER = ("number", "key", "model", "label", "serial", "grip", "status", "since", "replaced_by")


@pytest.mark.parametrize(
    ("text", "key", "value", "changed"),
    [
        ("model: x\nstatus: active   # plays\n", "status", "lost", "model: x\nstatus: lost   # plays\n"),
        ("status: 'active'\n", "status", "lost", "status: lost\n"),
        ("status:\nmodel: x\n", "status", "lost", "status: lost\nmodel: x\n"),
        ("model: x\nlabel: I\nbuild:\n  - a\n", "status", "lost", "model: x\nlabel: I\nstatus: lost\nbuild:\n  - a\n"),
        ("label: I  # one\n\nbuild: []\n", "status", "lost", "label: I  # one\nstatus: lost\n\nbuild: []\n"),
        ("jobs: []\n", "status", "lost", "status: lost\njobs: []\n"),
        ("label: I", "status", "lost", "label: I\nstatus: lost\n"),
        ("label: I\nlabels: J\n", "label", "a: b", 'label: "a: b"\nlabels: J\n'),
    ],
)
def test_one_value_is_set(text, key, value, changed):
    """A value is changed where it stands, or its line is put where the key belongs; nothing else moves."""
    assert with_value(text, key, value, ORDER) == changed


@pytest.mark.parametrize(
    ("text", "changed"),
    [
        ("a: 1\nreplaced_by: 1042-9\nb: 2\n", "a: 1\nb: 2\n"),
        ("a: 1\nreplaced_by: 1042-9   # in May\nb: 2\n", "a: 1\n# in May\nb: 2\n"),
        ("a: 1\nreplaced_by: 1042-9", "a: 1\n"),
        ("a: 1\n", "a: 1\n"),
    ],
)
def test_one_line_is_taken_out(text, changed):
    """A key goes with its line; a comment beside it stays."""
    assert without(text, "replaced_by") == changed


def test_a_block_as_it_stands():
    """The lines of one key are given as they are written, comments among them."""
    text = "a: 1\nsetup:   # as in the hand\n  mass: 330 g\n  # guessed\nb: 2\n"
    assert block_of(text, "setup") == "setup:   # as in the hand\n  mass: 330 g\n  # guessed\n"
    assert block_of(text, "c") == ""


def test_a_job_is_shown_as_it_will_be_written():
    """What is shown beforehand is what stands in the file afterwards."""
    text = "model: x\n\njobs:\n- date: 2026-01-01\n  fitted:\n  - {part: x, place: '12'}\n"
    shown = job_text(text, JOB)
    assert shown.startswith("- date: 2026-11-25\n  strings:\n    mains: ")
    assert with_jobs(text, [(1, JOB)]).endswith(f"\n{shown}\n")


WORD = st.from_regex(r"[a-zé'][a-zé' ,:#-]{0,12}[a-zé']", fullmatch=True)
REMARK = st.one_of(st.just(""), st.from_regex(r"   # [ -~]{0,12}", fullmatch=True))


@st.composite
def records(draw):
    """A frame's record as a person may have written it: any indentation, gaps, comments, line ends, keys behind jobs."""
    dash, deep, gap = draw(st.integers(0, 4)), draw(st.integers(2, 4)), draw(st.booleans())
    pad, inner = " " * dash, " " * (dash + deep)
    lines = [draw(REMARK).strip(), f"model: x{draw(REMARK)}", f"label: {draw(WORD.map(repr))}{draw(REMARK)}"]
    if draw(st.booleans()):
        lines += ["", "build:", f"{pad}-{' ' * (deep - 1)}{{part: x, place: '12'}}{draw(REMARK)}"]
    count = draw(st.integers(0, 3))
    if count or draw(st.booleans()):
        lines += ["", f"jobs:{draw(REMARK)}" if count else f"jobs: []{draw(REMARK)}"]
    for n in range(count):
        lines += [""] if gap and n else []
        lines += [f"{pad}# visit {n}"] if draw(st.booleans()) else []
        lines += [f"{pad}-{' ' * (deep - 1)}date: 2026-0{n + 1}-01{draw(REMARK)}"]
        lines += draw(
            st.sampled_from(
                [
                    [],
                    [f"{inner}note: >-", f"{inner}  a text that", f"{inner}  is folded"],
                    [f"{inner}note: |", f"{inner}  # not a comment", ""],
                    [f"{inner}readings:", f"{inner}- {{mass: 1 g}}", f"{inner}- {{ring: 2 Hz}}   # late"],
                    [f"{inner}readings: {{mass: 1 g,", f"{inner}  age: 2 d}}"],
                    [f"{inner}price: '1'", f"{inner}# a remark inside"],
                ]
            )
        )
    lines += draw(st.sampled_from([[], [""], ["", "private_note: z"], ["# end"], ["", "", f"{pad}# end"]]))
    return draw(st.sampled_from(["\n", "\r\n"])).join(lines) + draw(st.sampled_from(["", "\n"]))


JOBS = st.fixed_dictionaries(
    {"date": st.just("2026-11-25")},
    optional={
        "note": st.text(st.characters(codec="ascii", exclude_categories=("Cc",)), min_size=1).map(str.strip),
        "readings": st.lists(st.fixed_dictionaries({"mass": WORD}), min_size=1, max_size=2),
        "strings": st.fixed_dictionaries({"mains": st.fixed_dictionaries({"string": WORD, "tension": WORD})}),
    },
)


@given(records(), JOBS)
def test_any_record_gains_the_job_and_keeps_every_character(text, job):
    """However a record is written, a job is added in one stretch of text, and the record says what it said and the job."""
    before = tree(text)
    old = before.get("jobs") or []
    changed = with_jobs(text, [(len(old), job)])
    assert only_added(text.replace("jobs: []", "jobs:"), changed)
    after = tree(changed)
    assert [stripped(j) for j in after["jobs"]] == [stripped(j) for j in [*old, job]]
    assert {k: v for k, v in after.items() if k != "jobs"} == {k: v for k, v in before.items() if k != "jobs"}
    assert changed.count("#") == text.count("#") + str(job).count("#")


@given(records(), st.lists(st.tuples(st.integers(0, 3), JOBS), min_size=1, max_size=3))
def test_any_places_keep_every_line(text, placed):
    """Jobs put in at any places leave every old line, in its order."""
    old = tree(text).get("jobs") or []
    placed = [(min(place, len(old)), job) for place, job in placed]
    changed = with_jobs(text, placed)
    assert len(tree(changed)["jobs"]) == len(old) + len(placed)
    rest = iter(changed.splitlines())
    assert all(line in rest for line in text.replace("jobs: []", "jobs:").splitlines())


@given(records(), st.sampled_from(["status", "replaced_by", "label", "grip"]), WORD)
def test_any_record_takes_a_value_and_gives_it_back(text, key, value):
    """A value set is read back with nothing else changed, and taken out again leaves the other lines as they were."""
    before = tree(text)
    changed = with_value(text, key, value, ORDER)
    assert tree(changed) == {**before, key: value.strip()}
    if key != "label":
        assert only_added(text, changed)
        assert without(changed, key).splitlines() == text.splitlines()


def stripped(value):
    """Data with the texts as a record takes them: without spaces around."""
    if isinstance(value, dict):
        return {key: stripped(v) for key, v in value.items()}
    return [stripped(v) for v in value] if isinstance(value, list) else value.strip()
