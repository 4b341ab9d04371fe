"""Random string patterns: 200 that can be strung pass the check, 200 that were broken in one place are all caught.

The patterns are made here by plain counting, which shares nothing with the program: n mains a side that start at one
end finish there where n is even and at the other where it is odd; each way's next step follows on a drawing.
"""

from pathlib import Path
from random import Random

import pytest
from overlay import checked

BASE = Path(__file__).parents[1] / "faults" / "_base" / "catalogue" / "frames.yaml"
OTHER = {"throat": "head", "head": "throat"}
COUNT = 200


def pattern(rng: Random) -> dict:
    """A pattern with a way, its starts, and the holes where its ends are."""
    half, crosses = rng.randint(5, 12), rng.randint(14, 24)
    skips = {end: sorted(rng.sample(range(half - 2, half + 2), rng.randint(0, 2))) for end in OTHER}
    skips = {end: [n for i, n in enumerate(holes) if n < half + i + 1] for end, holes in skips.items()}
    way = rng.choice(["one piece", "two pieces", "around the world", "box"])
    start = rng.choice(["throat", "head"])
    back = start if half % 2 == 0 else OTHER[start]
    begin = {"one piece": back, "two pieces": rng.choice(["throat", "head"])}.get(way, OTHER[back])
    short = back if way in ("one piece", "two pieces") else OTHER[back]
    return {
        "half": half, "crosses": crosses, "skips": skips, "way": way, "start": start, "begin": begin, "short": short,
        "stop": OTHER[begin],
    }  # fmt: skip


def odd_pattern(rng: Random) -> dict:
    """The same with one main in the middle: one side strings it and has one more, so either start of the crosses can be
    reached; the sides end at different ends."""
    made, way = pattern(rng), rng.choice(["one piece", "two pieces", "around the world", "box"])
    start, begin = rng.choice(["throat", "head"]), rng.choice(["throat", "head"])
    ends = {count: start if count % 2 == 0 else OTHER[start] for count in (made["half"], made["half"] + 1)}
    reach = OTHER[begin] if way in ("around the world", "box") else begin  # where the long side's last main ends
    short = next(count for count, end in ends.items() if end != reach)
    end = ends[short] if way in ("one piece", "two pieces") else OTHER[ends[short]]
    return {**made, "way": way, "start": start, "begin": begin, "short": end, "stop": OTHER[begin], "middle": 1}


def last(made: dict, end: str) -> int:
    """The hole of the outermost main at an end."""
    number = main = 0
    while main < made["half"]:
        number += 1
        main += number not in made["skips"][end]
    return number


def written(made: dict, **other: str) -> tuple[str, str]:
    """The catalogue's pattern and the job's words."""
    named = [f"mains {' and '.join(map(str, holes))} {end}" for end, holes in made["skips"].items() if holes]
    ties = f"mains {other.get('tie', 2)} {other.get('short', made['short'])}"
    ties += f"; crosses {other.get('cross_tie', 1)} {other.get('stop', made['stop'])}{other.get('more', '')}"
    path = f"{made['way']}, mains from the {made['start']}, crosses from the {other.get('begin', made['begin'])}"
    skips = other.get("skips", "; ".join(named) or "none")
    pattern_text = f"mains: {2 * made['half'] + made.get('middle', 0)}, crosses: {made['crosses']}, skips: '{skips}'{other.get('blocked', '')}"
    return pattern_text, f"path: '{path}', tie_offs: '{ties}'{other.get('knots', '')}"


def broken(rng: Random, made: dict) -> tuple[str, str]:
    """The same with one thing wrong."""
    ways = ["short", "stop", "tie", "no hole", "too many", "skip", "blocked", "knots"]
    if made["way"] != "two pieces" and not made.get("middle"):
        ways += ["begin", "begin", "begin"]
    if made["way"] == "two pieces":
        ways.remove("stop")
        if made.get("middle"):  # mains of two pieces end at both ends
            ways.remove("short")
    kind = rng.choice(ways)
    at = last(made, made["short"])
    if made["way"] in ("around the world", "box"):  # the short side ends one main before the outermost
        at = max(n for n in range(1, at) if n not in made["skips"][made["short"]])
    return written(made, **{
        "short": {"short": OTHER[made["short"]]},
        "stop": {"stop": made["begin"]},
        "tie": {"tie": at},
        "no hole": {"cross_tie": 90},
        "too many": {"more": f"; mains 3 and 4 {made['short']}"},
        "skip": {"skips": f"mains {last(made, 'head') + rng.randint(1, 5)} head"},
        "blocked": {"blocked": ", blocked: '80 head'"},
        "knots": {"knots": ", knots: 3"},
        "begin": {"begin": OTHER[made["begin"]]},
    }[kind])  # fmt: skip


def faults_of(tmp_path: Path, texts: list[tuple[str, str]]) -> set[int]:
    """The numbers of those patterns of which something is said."""
    models, files = [BASE.read_text(encoding="utf-8")], {}
    for i, (catalogue, job) in enumerate(texts):
        models.append(
            f"made-{i}: {{maker: Tarn, name: Made {i}, sport: tennis, length: 685 mm, head: {{length: 340 mm, width:"
            f" 255 mm}}, rim: 11 mm, handle: {{length: 200 mm, width: 31 mm}}, pattern: {{{catalogue}}}}}\n"
        )
        strings = f"mains: {{string: reed-125, tension: 24 kg}}, {job}"
        files[f"players/ines/made{i}.yaml"] = (
            f"model: made-{i}\nlabel: Made {i}\njobs: [{{date: 2026-05-01, strings: {{{strings}}}}}]\n"
        )
    content, faults = checked(tmp_path, {"catalogue/frames.yaml": "".join(models), **files})
    assert len(content.frames) >= len(texts)
    said = set[int]()
    for fault in faults:
        if fault.rule in ("string-path", "string-holes", "pieces"):
            assert fault.severity == "error"
            stem = Path(fault.place.file).stem
            place = stem.removeprefix("made") if stem.startswith("made") else fault.place.excerpt
            said.add(int(place) if place.isdigit() else int(place.partition(":")[0].removeprefix("made-")))
    return said


@pytest.mark.parametrize("kind", [pattern, odd_pattern], ids=["even", "one in the middle"])
def test_two_hundred_that_can_be_strung_and_two_hundred_that_cannot(tmp_path, counted, kind):
    """None of the first is called wrong, none of the second passes."""
    rng = Random(16)
    made = [kind(rng) for _ in range(COUNT)]
    sound = faults_of(tmp_path / "sound", [written(each) for each in made])
    caught = faults_of(tmp_path / "broken", [broken(rng, each) for each in made])
    counted(
        f"random patterns, {kind.__name__}: {COUNT - len(sound)} of {COUNT} that can be strung pass, {len(caught)} of {COUNT} broken ones are caught"
    )
    assert sound == set()
    assert caught == set(range(COUNT))
