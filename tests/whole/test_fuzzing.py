"""Whole records and raw text, made up and mutated: faults for a person or facts, in bounded time; the short form."""

import time

import pytest
from fuzzing import mutated, run, targets
from fuzzing.made_up import FOLDERS
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from places import TESTS

FIXED = settings(deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck))
FOUND = TESTS / "fuzzing/found"


@pytest.fixture
def tallied(counted):
    """Have what a test tried printed: how many cases of which kind came to what, and how long it took."""
    before, begun = targets.seen.copy(), time.monotonic()

    def tell(what: str) -> dict[str, int]:
        came = targets.seen - before
        said = ", ".join(f"{n:,} {word}" for word, n in sorted(came.items()))
        counted(
            f"hypothesis, {what}: {sum(came.values()):,} cases in {time.monotonic() - begun:.0f} s: {said}, 0 broken"
        )
        return came

    return tell


def test_whole_records_have_faults_or_become_facts(tallied):
    """Frames, players, workshops and catalogues made up by their types have faults or become facts, never an exception."""

    # So many that both come of them often, whichever constants of the modules that are loaded Hypothesis tries.
    @settings(FIXED, max_examples=400)
    @given(FOLDERS)
    def each(texts: dict[str, str]) -> None:
        begun = time.process_time()
        targets.records(texts)
        assert time.process_time() - begun < targets.SLOWEST

    each()
    came = tallied("whole records made up by their types")
    assert came["facts"] > 50
    assert came["refused"] > 50


@pytest.mark.parametrize("target", ["yaml", "record"])
def test_raw_text_is_read_or_refused(target, tallied):
    """Any text at all, as a file and under each record type, is read or has faults."""

    @settings(FIXED, max_examples=400)
    @given(st.integers(0, 6), st.text(max_size=300) | st.binary(max_size=300))
    def each(kind: int, text: str | bytes) -> None:
        said = text if isinstance(text, bytes) else text.encode()
        targets.TARGETS[target](said if target == "yaml" else bytes([kind]) + said)

    each()
    came = tallied(f"raw text as {target}")
    assert came["refused"] > 100
    assert came["read"] > 50


def test_mutated_records_have_faults_or_become_facts(tallied):
    """Records of the demo and of the fault catalogue with one to three slips in them have faults or become facts."""
    texts = st.sampled_from(sorted(mutated.small().items())) | st.sampled_from(sorted(mutated.seeds().items()))

    @settings(FIXED, max_examples=500)
    @given(texts.flatmap(lambda one: st.tuples(st.just(one[0]), mutated.mutations(one[1]))))
    def each(case: tuple[str, str]) -> None:
        name, text = case
        for target in ("record", "workshop"):
            targets.TARGETS[target](run.begun(target, name) + text.encode())

    each()
    came = tallied("mutated records")
    assert came["facts"] > 25
    assert came["refused"] > 100


@pytest.mark.parametrize("target", sorted(targets.TARGETS))
def test_the_fuzzer_finds_nothing_in_its_short_form(target, tmp_path, counted):
    """Some seconds of each target under atheris, from a fixed seed, with the code's own branches watched: nothing breaks."""
    pytest.importorskip("atheris", reason="atheris runs on Linux alone")
    row = run.fuzzed(target, tmp_path, cases=SHORT[target])
    assert not row.crashes, "\n".join(row.crashes)
    assert row.covered > 30, "the fuzzer is blind"
    counted(f"atheris, {row.target}: {row.cases:,} cases in {row.seconds:.0f} s, {row.covered:,} edges, 0 crashes")


SHORT = {
    "quantity": 5000, "balance": 50_000, "place": 50_000, "yaml": 1500, "record": 1500, "workshop": 500, "generated": 60,
}  # fmt: skip


@pytest.mark.parametrize("path", sorted(FOUND.glob("*.input")), ids=lambda path: path.stem)
def test_what_fuzzing_found_stays_mended(path):
    """Each input that once broke its target, which is the first word of its name, breaks it no more."""
    targets.TARGETS[path.stem.partition("-")[0]](path.read_bytes())


def test_the_fuzzer_notices_what_breaks(tmp_path):
    """A target that breaks its word is counted as a crash, with its cause and its input kept."""
    pytest.importorskip("atheris", reason="atheris runs on Linux alone")
    row = run.fuzzed("broken", tmp_path, cases=20_000)
    assert len(row.crashes) == 1
    assert "IndexError" in row.crashes[0]
    assert (tmp_path / "broken-1.input").exists()
