"""What a player is told of the last work, and how frames and visits are put in order."""

from dataclasses import replace
from datetime import date

import pytest
from smallshop import facts, of

from passport.render.pages.depths import freshest_first, lately, visits


@pytest.fixture(scope="module")
def main(tmp_path_factory):
    """A frame of the small workshop."""
    return of(facts(tmp_path_factory.mktemp("small")), "ada/main")


def strung(job, day: date, tension: float | None = None):
    """A stringing on a day, its mains at another tension where one is given, N."""
    bed = replace(job.stringing, date=day)
    bed = replace(bed, mains=replace(bed.mains, tension=tension)) if tension else bed
    return replace(job, date=day, stringing=bed, fitted=(), removed=(), repairs=(), note="")


def test_the_time_before_is_compared(main):
    """Two stringings alike are the same; another pull of the mains is told of the mains alone."""
    job = next(j for j in main.jobs if j.stringing)
    first, second = date(2026, 1, 2), date(2026, 3, 4)
    alike = lately(replace(main, jobs=(strung(job, first), strung(job, second))))
    assert alike
    assert alike.same
    assert alike.before
    assert alike.before.date == first
    other = lately(replace(main, jobs=(strung(job, first, 200.0), strung(job, second))))
    assert other
    assert (other.same, other.mains, other.crosses) == (False, True, False)


def test_nothing_is_said_of_what_is_not_there(main):
    """Without a stringing, or of a first one beside which nothing was done, there is no last work to tell of."""
    job = next(j for j in main.jobs if j.stringing)
    assert lately(replace(main, jobs=())) is None
    assert lately(replace(main, jobs=(strung(job, date(2026, 1, 2)),))) is None


def test_what_was_felt_stands_beside_its_strings(main):
    """Words are about the strings that were in when they were said: those of the visit that cut strings out about these."""
    job = next(j for j in main.jobs if j.stringing)
    first, second = strung(job, date(2026, 1, 2)), replace(strung(job, date(2026, 3, 4)), felt="Too stiff.")
    told = replace(strung(job, date(2026, 4, 1)), stringing=None, felt="Just right.")
    found = lately(replace(main, jobs=(replace(first, felt="Of the old ones."), second, told)))
    assert found
    assert found.felt == ("Just right.", "Too stiff.")
    alone = lately(replace(main, jobs=(first, told)))
    assert alone
    assert alone.felt == ("Just right.", "")


def test_years_hold_all_visits(main):
    """Every visit stands open or in the fold of its own year, newest first."""
    jobs = [replace(main.jobs[0], date=date(2024 + i // 3, 1 + i % 3, 1)) for i in range(9)]
    found = visits(jobs)
    assert [j.date for j in found.latest] == [j.date for j in reversed(jobs)][:4]
    assert all(job.date.year == year for year, group in found.older for job in group)
    assert sum(len(group) for _, group in found.older) + len(found.latest) == 9


def test_the_freshest_comes_first(main):
    """The newest stringing first, of one day the one due last; unstrung frames and those out of play at the end."""
    bed = main.stringing
    old = replace(main, label="old", stringing=replace(bed, date=date(2026, 1, 1)))
    soon = replace(main, label="soon", stringing=replace(bed, date=date(2026, 5, 1)), due=date(2026, 6, 1))
    late = replace(soon, label="late", due=date(2026, 9, 1))
    bare = replace(main, label="bare", stringing=None)
    broken = replace(late, label="broken", status="broken")
    order = [f.label for f in freshest_first([broken, bare, old, soon, late])]
    assert order == ["late", "soon", "old", "bare", "broken"]
