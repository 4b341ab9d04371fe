"""A rebuilt frame beside the one that it was built to replace: the facts, and what its page says."""

import re
from datetime import date
from pathlib import Path

import pytest
from htmlread import Page, faults
from rebuildshop import TODAY, files

from passport.records import checks
from passport.records.load import load
from passport.render.pages.pages import Pages
from passport.render.theme import assets
from passport.workshop.gathering.gather import site_facts

OLD, NEW = "1001-5", "1002-3"
READ_OLD = "mass: 330.2 g, balance: 320.5 mm, swingweight: 318.0 kgcm2, twistweight: 13.2 kgcm2"
READ_NEW = "mass: 329.8 g, balance: 319.5 mm, swingweight: 325.0 kgcm2"
FITTED = """\
    fitted:
      - {part: tungsten-tape, place: 3 and 9, length: 40 mm, mass: 1.6 g}
      - {part: silicone, place: inside the handle, mass: 3.0 g}
"""


def record(number: str, letter: str, label: str, figures: str, *, head: str = "", fitted: str = "") -> str:
    """A frame of the workshop, strung and read once."""
    return (
        f"number: {number}\nkey: {26 * letter}\nmodel: larch-98\nlabel: {label}\n{head}"
        "setup:\n  mass: 330 g ± 1 g\n  balance: 320 mm ± 1.5 mm\n  swingweight: 318 ± 1.5 kgcm2\n"
        "build:\n  - {part: cushion, place: along the handle}\njobs:\n  - date: 2026-03-02\n"
        f"    strings: {{mains: {{string: reed-125, tension: 24 kg}}}}\n{fitted}    readings: [{{{figures}}}]\n"
    )


def content(
    root: Path,
    *,
    old: str = "status: broken\n",
    new: str = f"rebuilds: {OLD}\n",
    figures: str = READ_NEW,
    workshop: str = "",
):
    """A workshop in which one frame was rebuilt as another."""
    written = files() | {
        "players/ada/main.yaml": record(OLD, "M", "Main", READ_OLD, head=old),
        "players/ada/next.yaml": record(NEW, "N", "Next", figures, head=new, fitted=FITTED),
    }
    written["workshop.yaml"] += workshop
    for name, text in written.items():
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).write_text(text, encoding="utf-8")
    found, wrong = load(root)
    assert not wrong
    return found


def facts(found, number: str = NEW):
    """The facts of one frame."""
    return next(f for f in site_facts(found).frames if f.number == number)


def page(found, number: str = NEW) -> str:
    """The page of one frame."""
    site = site_facts(found)
    frame = next(f for f in site.frames if f.number == number)
    return Pages(site.shop, site.pages, (assets.templates(),)).frame(frame, {"setup": "s.json"}).decode()


def plain(html: str) -> str:
    """The text of a piece of HTML with single spaces."""
    return " ".join(Page(html).words.replace("\u202f", " ").split())


def rows(html: str) -> dict[str, list[str]]:
    """The rows of the table of old and new by their first cell."""
    section = html[html.index('id="twin"') :].partition("</table>")[0]
    found = (re.split(r"</t[hd]>", row)[:-1] for row in re.findall(r"<tr>(.*?)</tr>", section, re.DOTALL))
    return {plain(cells[0]): [plain(cell) for cell in cells[1:]] for cells in found}


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("status: broken\n", f"rebuilds: {OLD}\n"),
        (f"status: broken\nreplaced_by: {NEW}\n", ""),
        (f"status: broken\nreplaced_by: {NEW}\n", f"rebuilds: {OLD}\n"),
    ],
)
def test_either_record_may_say_it(tmp_path, old, new):
    """The new frame's record or the old one's names the other; both together agree and pass every check."""
    found = content(tmp_path, old=old, new=new)
    frame = facts(found)
    assert frame.predecessor.number == OLD
    assert (frame.twin.number, frame.twin.label, frame.twin.model) == (OLD, "Main", "Larch 98")
    assert [f for f in checks.run(found, TODAY) if f.severity == "error"] == []


def test_the_old_frame_has_no_twin(tmp_path):
    """The frame that was rebuilt is not shown beside its successor, and one that replaces nothing has no twin."""
    assert facts(content(tmp_path), OLD).twin is None
    assert facts(content(tmp_path / "b", new=""), NEW).twin is None


def test_the_old_figures_are_its_last(tmp_path):
    """The twin's figures are what the old frame last read as it was played, with its strings; tuning is what was fitted."""
    frame = facts(content(tmp_path))
    assert [round(frame.twin.spec(q).value, 1) for q in ("mass", "balance", "swingweight", "twistweight")] == [
        330.2, 320.5, 318.0, 13.2,
    ]  # fmt: skip
    assert frame.twin.spec("mass").taken == date(2026, 3, 2)
    assert frame.twin.stringing.mains.name == "Reed"
    assert (frame.twin.tuning, frame.tuning) == (None, pytest.approx(4.6))


def test_the_page_shows_both_side_by_side(tmp_path):
    """The page has old, new, difference, target and verdict in one row for each quantity, and how sure it is."""
    html = page(content(tmp_path))
    found = rows(html)
    assert found[""][:2] == [f"“Main” {OLD} 2 Mar 2026", f"“Next” {NEW} 2 Mar 2026"]
    old, new = found["Swingweight"]
    assert old == "318.0 kg·cm²"
    assert re.fullmatch(
        r"325\.0 kg·cm² \+7\.0 (off target \d+ % sure|just outside, but within measuring error \d+ % likely to be on target)",
        new,
    )
    assert found["Twistweight"] == ["13.2 kg·cm²", "not measured as it is now"]
    assert found["Tuning"][:2] == ["–", "4.6 g"]
    assert found["Strings"][0].startswith("Reed") and "24.0 kg" in found["Strings"][1]
    assert faults(Page(html)) == []


def test_the_page_counts_what_is_on_target(tmp_path):
    """A sentence says how many of the measured figures are on target for sure; it agrees with the verdicts."""
    html = page(content(tmp_path))
    verdicts = [cells[1] for name, cells in rows(html).items() if name in ("Mass", "Balance", "Swingweight")]
    sure = sum(" on target " in verdict for verdict in verdicts)
    assert f"{sure} of 3 measured figures" in plain(html)
    checked = "instruments: [{kind: scale, name: S, resolution: 0.1 g, checks: [{date: 2026-02-01, known: 200.0 g, reads: 200.0 g}]}]\n"
    exact = page(content(tmp_path / "b", figures="mass: 330.0 g", workshop=checked))
    assert "Every figure that was measured is on target." in plain(exact)


def test_a_page_without_a_twin_says_nothing_of_one(tmp_path):
    """A frame that replaces nothing has no such section."""
    assert 'id="twin"' not in page(content(tmp_path, new=""))
    assert 'id="twin"' in page(content(tmp_path / "b"))
