"""What jobs take from stock, and what is left."""

from datetime import date

import pytest
import smallshop
from hypothesis import assume, given
from hypothesis import strategies as st

from passport.physics.uncertainty import Estimate
from passport.records.load import load
from passport.records.stockroom.lot import StockLot
from passport.workshop.stockroom.use import JobUse, UseBook

STRUNG = "strings: {mains: {string: reed-125, tension: 52 lb, batch: B1}}"


def _frame(*jobs: str) -> str:
    lines = "\n".join(f"  - {job}" for job in jobs)
    return f"model: larch-98\nlabel: Main\njobs:\n{lines}\n"


def _left(tmp_path, stock: str, *jobs: str, lot: str = "reel", model: str | None = None):
    changes = {
        "catalogue/stock.yaml": stock,
        "players/ada/main.yaml": _frame(*jobs),
        "players/ada/twin.yaml": None,
        "players/ada/split.yaml": None,
        "players/bo/only.yaml": None,
    }
    changes |= {"catalogue/frames.yaml": model} if model else {}
    content, faults = load(smallshop.write(tmp_path, changes))
    assert not faults, [fault.text() for fault in faults]
    return UseBook.of(content).left(content.lots[lot].record)


def test_a_frame_takes_what_frames_take(tmp_path):
    """A 16×19 takes 10 to 10.5 m (common practice, no source), here within the uncertainty that is told with it."""
    left = _left(
        tmp_path,
        "reel: {of: reed-125, batch: B1, bought: {date: 2026-01-01, amount: 200 m}}\n",
        f"{{date: 2026-01-05, {STRUNG}}}",
    )
    taken = 200 - left.amount.value
    assert 10 - 2 * left.amount.u < taken < 10.5 + 2 * left.amount.u
    assert 0.1 < left.amount.u < 0.6
    assert (len(left.uses), left.untold, left.measure) == (1, 0, "m")


def test_what_counts_when(tmp_path):
    """A purchase's day counts with its jobs; a count stands at the end of its day; other batches and earlier jobs do not."""
    stock = (
        "reel:\n  of: reed-125\n  batch: B1\n  bought: [{date: 2026-01-05, amount: 200 m}, {date: 2026-03-01, amount: 50 m}]\n"
        "  counted: {date: 2026-02-01, amount: 100 m}\n  taken: [{date: 2026-01-06, amount: 9 m}, {date: 2026-02-02, amount: 3 m}]\n"
    )
    other = STRUNG.replace("B1", "B2")
    none = STRUNG.replace(", batch: B1", "")
    jobs = [
        *(f"{{date: {day}, {STRUNG}}}" for day in ("2026-01-04", "2026-01-05", "2026-02-01", "2026-02-02")),
        f"{{date: 2026-02-03, {other}}}",
        f"{{date: 2026-02-04, {none}}}",
    ]
    left = _left(tmp_path, stock, *jobs)
    assert [use.day for use in left.uses] == [date(2026, 2, 2)]
    assert [use.day for use in left.all_uses] == [date(2026, 1, 5), date(2026, 2, 1), date(2026, 2, 2)]
    cut = left.uses[0].amounts["m"].value
    assert left.amount.value == pytest.approx(100 - 3 + 50 - cut)
    assert left.since == date(2026, 2, 1)


def test_half_a_set_for_mains_or_crosses(tmp_path):
    """Sets go by the frame: one for a whole one, half a one for the mains or crosses alone (common practice, no source)."""
    hybrid = STRUNG.replace("}}", "}, crosses: {string: flint-120, tension: 50 lb}, pieces: 2}")
    stock = "reel: {of: reed-125, batch: B1, counted: {date: 2026-01-01, amount: 3 sets}}\n"
    left = _left(tmp_path, stock, f"{{date: 2026-01-05, {STRUNG}}}", f"{{date: 2026-02-05, {hybrid}}}")
    assert (left.amount.value, left.amount.u) == (1.5, 0)


def test_two_pieces_take_two_more_tails(tmp_path):
    """The same frame in two pieces takes two tails of the machine more than in one."""
    stock = "reel: {of: reed-125, batch: B1, counted: {date: 2026-01-01, amount: 100 m}}\n"
    one, two = (
        _left(tmp_path / str(n), stock, f"{{date: 2026-01-05, {STRUNG.replace('}}', f'}}, pieces: {n}}}')}}}")
        for n in (1, 2)
    )
    assert one.amount.value - two.amount.value == pytest.approx(0.6, abs=0.1)


def test_dimensions_taken_as_usual_are_less_sure(tmp_path):
    """Where the head is taken as usual, what was cut is known less well."""
    stock = "reel: {of: reed-125, batch: B1, counted: {date: 2026-01-01, amount: 100 m}}\n"
    job = f"{{date: 2026-01-05, {STRUNG}}}"
    usual = "larch-98: {maker: Tarn, name: Larch 98, sport: tennis, head: 98 sq in}\n"
    sure, unsure = _left(tmp_path / "a", stock, job), _left(tmp_path / "b", stock, job, model=usual)
    assert unsure.amount.u > 1.2 * sure.amount.u


def test_parts(tmp_path):
    """Tape goes by its length on both sides, or by its mass over its mass per length; grips and spares by the piece."""
    tape = "tape: {of: lead-tape, counted: {date: 2026-01-01, amount: 5 m}}\n"
    jobs = [
        "{date: 2026-01-05, fitted: {part: lead-tape, place: 3 and 9, length: 100 mm}}",  # 2 × 0.1 m
        "{date: 2026-01-06, fitted: {part: lead-tape, place: 4 only, length: 50 mm}}",  # 0.05 m
        "{date: 2026-01-07, fitted: {part: lead-tape, place: 12, mass: 2 g}}",  # 2 g at 20 g/m: 0.1 m
        "{date: 2026-01-08, fitted: {part: lead-tape, place: 12}}",  # nobody knows
    ]
    left = _left(tmp_path, tape, *jobs, lot="tape")
    assert left.amount.value == pytest.approx(5 - 0.2 - 0.05 - 0.1)
    assert left.untold == 1
    by_mass = tape.replace("5 m", "50 g")
    assert _left(tmp_path / "g", by_mass, *jobs, lot="tape").amount.value == pytest.approx(50 - 4 - 1 - 2)
    grips = "grips: {of: thin-overgrip, counted: {date: 2026-01-01, amount: 9 pieces}}\n"
    job = "{date: 2026-01-05, fitted: {part: thin-overgrip, place: along the handle}}"
    again = "{date: 2026-02-05, repairs: {what: other, part: thin-overgrip}}"
    assert _left(tmp_path / "p", grips, job, again, lot="grips").amount.value == 7


def test_what_came_with_a_frame_is_not_from_stock(tmp_path):
    """The build that a frame first came in with took nothing."""
    content, _ = load(smallshop.write(tmp_path))
    uses = UseBook.of(content).uses
    assert all(use.frame != "ada/main" for use in uses.get("thin-overgrip", ()))


def test_uses_of_no_lot(tmp_path):
    """Jobs that name no batch, or one that is not in the book, are told apart since the first lot began."""
    content, _ = load(
        smallshop.write(
            tmp_path,
            {
                "catalogue/stock.yaml": "reel: {of: reed-125, batch: B1, bought: {date: 2026-03-01, amount: 9 m}}\n",
                "players/ada/main.yaml": _frame(
                    f"{{date: 2026-02-05, {STRUNG.replace('B1', 'B0')}}}",
                    f"{{date: 2026-03-05, {STRUNG.replace('B1', 'B2')}}}",
                    f"{{date: 2026-04-05, {STRUNG}}}",
                ),
            },
        )
    )
    lots = [e.record for e in content.lots.values()]
    found = [(use.frame, use.batch) for use in UseBook.of(content).unassigned("reed-125", lots)]
    assert ("ada/main", "B2") in found
    assert not {("ada/main", "B0"), ("ada/main", "B1")} & set(found)


def _shelf_by_day(bought, taken, counted, jobs):
    """A shelf followed day by day, as a person would: deliveries, the day's work, what went otherwise, the count at night."""
    on_shelf, begun = 0, False
    for day in range(1, 29):
        begun = begun or day in bought or day in counted
        if begun:
            on_shelf += bought.get(day, 0) - jobs.count(day) - taken.get(day, 0)
        on_shelf = counted.get(day, on_shelf)
    return on_shelf


_amounts = st.dictionaries(st.integers(1, 28), st.integers(1, 9), max_size=3)


@given(_amounts, _amounts, _amounts, st.lists(st.integers(1, 28), max_size=6))
def test_it_is_what_is_left_on_a_shelf(bought, taken, counted, jobs):
    """Whatever was bought, counted, taken and fitted when, the book has what a shelf followed day by day has."""
    assume(bought or counted)
    first = min([*bought, *counted])
    assume(all(day >= first for day in taken))

    def entries(amounts):
        return [{"date": f"2026-02-{day:02}", "amount": f"{n} pieces"} for day, n in amounts.items()]

    tree = {"of": "grip", "bought": entries(bought), "taken": entries(taken), "counted": entries(counted)}
    lot = StockLot.model_validate(tree)
    uses = tuple(JobUse("a/b", date(2026, 2, day), "grip", "", {"pieces": Estimate(1.0, 0.0)}) for day in sorted(jobs))
    assert UseBook({"grip": uses}).left(lot).amount.value == _shelf_by_day(bought, taken, counted, jobs)


def test_what_a_count_says_of_the_book(tmp_path):
    """30 m were there, one frame took 10.0 m of it by the book, 16 m were counted: 4 m more went than the book has."""
    stock = (
        "reel: {of: reed-125, batch: B1, counted: [{date: 2026-01-01, amount: 30 m}, {date: 2026-02-01, amount: %s}]}\n"
    )
    job = f"{{date: 2026-01-05, {STRUNG}}}"
    left = _left(tmp_path / "a", stock % "16 m", job, f"{{date: 2026-03-05, {STRUNG}}}")
    assert left.gap is not None
    cut = left.all_uses[0].amounts["m"]
    assert (left.gap.day, left.gap.less.value) == (date(2026, 2, 1), pytest.approx(30 - cut.value - 16))
    assert left.gap.less.u == pytest.approx(cut.u)
    assert left.gap.tells
    near = _left(tmp_path / "b", stock % f"{30 - cut.value - 0.4:.2f} m", job)
    assert near.gap is not None
    assert not near.gap.tells
    first = "reel: {of: reed-125, batch: B1, counted: {date: 2026-02-01, amount: 9 m}}\n"
    assert _left(tmp_path / "c", first, job).gap is None
