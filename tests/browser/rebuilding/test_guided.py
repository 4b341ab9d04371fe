"""A rebuild at the screen, step by step: the records are those of the commands, and the rest follows from what was read."""

import itertools
import re
import shutil
import threading

import pytest
from benchserver import serving
from benchwork import BLANK, bench
from commandline import passport, tree

from passport.browser.rebuilding import plans
from passport.records.load import load
from passport.records.schema import numbers
from passport.workshop.rebuild.subject import Workbench
from tests.support import rebuildshop

WORK = f"/frame/ada/main/rebuild/on/{BLANK}"
FIELDS = ("once", "basis", "step")


@pytest.fixture
def shops(tmp_path):
    """Two copies of the workshop with a broken frame and a blank: one for the bench, one for the commands."""
    bench(tmp_path / "bench")
    shutil.copytree(tmp_path / "bench", tmp_path / "commands")
    return tmp_path / "bench", tmp_path / "commands"


@pytest.fixture
def counted_keys(monkeypatch):
    """Keys that are counted instead of drawn, anew from the first where it is called."""

    def begin() -> None:
        count = itertools.count(1)
        monkeypatch.setattr(numbers, "new_key", lambda: f"{next(count):026d}")

    return begin


def filled(page, **said: str) -> dict[str, str]:
    """The form of the next step as it is offered, with what somebody types into it."""
    return {**{name: page.value(name) for name in FIELDS}, "act": "done", **said}


def _should_read(page) -> dict[str, str]:
    """What the screen says that the frame should read after the next step; nothing where nothing is read."""
    shown = re.search(r'class="step-after">.*?<b>([0-9.]+) g · ([0-9.]+) mm · ([0-9.]+) kg', page.text)
    return dict(zip(("mass", "balance", "swingweight"), shown.groups(), strict=True)) if shown else {}


def test_a_broken_frame_rebuilt_with_readings_at_each_step(shops, counted_keys):
    """What was read at each step, the first one 0.2 g off, and the frame that comes of it stand in the records byte for byte
    as the commands write them for the same readings."""
    at_bench, commands = shops
    counted_keys()
    heard = list[tuple[str, ...]]()
    with serving(at_bench) as asker:
        page = asker.ask(WORK)
        while 'name="step"' in page.text and "Give it its passport" not in page.text:
            step, read = page.value("step"), _should_read(page)
            if step == "1":
                read["mass"] = f"{float(read['mass']) + 0.2:.1f}"
            words = f"{step}: {' '.join(read.values())}"
            heard.append(("--read", words) if read else ("--done", step))
            page = asker.follow(asker.send(WORK, filled(page, **read)))
        form = {"once": "a", "label": "Next", "serial": "", "grip": "", "act": "save"}
        finish = asker.ask(f"{WORK}/finish")
        assert finish.value("label") == "Main"
        got = asker.send(f"{WORK}/finish", form)
        assert got.status == 303 and got.headers["location"].startswith("/frame/ada/next/twin?saved="), got.text
        assert "Card to print" in asker.follow(got).text
        assert asker.ask("/card/ada/next").text.startswith("%PDF")
        after = tree(at_bench)
        assert asker.send(f"{WORK}/finish", form).headers["location"] == got.headers["location"]
        assert tree(at_bench) == after
    counted_keys()
    for words in heard:
        done = passport("rebuild", commands, "1001-5", "--with", BLANK, "--resume", "--no-sheet", *words)
        assert done.exit_code == 0
    issued = passport("issue", commands, "--replaces", "1001-5", "--blank", BLANK, "--label", "Next", "--yes", "--sure")
    assert issued.exit_code == 0 and len(heard) > 8
    assert tree(at_bench) == tree(commands)


def test_what_is_typed_is_looked_at_kept_and_judged(shops):
    """A reading 3 g off is said not to go with the rest before anything is written; it survives the program's end; ones
    that cannot be read are told at their field."""
    at_bench, _ = shops
    before = tree(at_bench)
    with serving(at_bench) as asker:
        page = asker.ask(WORK)
        looked = asker.send(WORK, filled(page, mass="292.3", act="look"))
        assert looked.status == 200 and "Does not go with the rest" in looked.text.partition('id="field-mass"')[2][:900]
        fits = asker.send(WORK, filled(page, mass="289.3", act="look"))
        assert "As predicted: 289.3 ± 0." in fits.text.partition('id="field-mass"')[2][:900]
        for said, words in (("heavy", "is not a mass"), ("1e9", "1e9")):
            got = asker.send(WORK, filled(page, mass=said))
            assert got.status == 409 and words in got.text.partition('id="field-mass"')[2][:1500], said
        assert asker.send(f"{WORK}/keep", filled(page, mass="289.3")).status == 204
    with serving(at_bench) as asker:
        assert asker.ask(WORK).value("mass") == "289.3"
    assert tree(at_bench) == before


def test_a_step_is_written_once_and_over_nobody_s_work(shops):
    """A form that is sent twice notes one step; one that was made before somebody else's step is shown with that step, and
    what was typed, and writes nothing."""
    at_bench, _ = shops
    with serving(at_bench) as asker:
        form = filled(asker.ask(WORK), mass="289.3")
        first = asker.send(WORK, form)
        after = tree(at_bench)
        assert asker.send(WORK, form).headers["location"] == first.headers["location"] and tree(at_bench) == after
        late = asker.send(WORK, {**form, "once": "another", "mass": "289.4"})
        assert late.status == 409 and "changed meanwhile" in late.text and "+     - date" in late.text
        assert late.value("mass") == "289.4" and late.value("step") == "2" and tree(at_bench) == after
        assert asker.ask(late.value("once") and WORK).value("basis") == late.value("basis")


def test_steps_ahead_otherwise_again_and_given_up(shops):
    """Several steps at once, a step done otherwise, a reading taken again, a part weighed: as by the commands; giving the
    work up is asked first."""
    at_bench, commands = shops
    resumed = ("rebuild", commands, "1001-5", "--with", BLANK, "--resume", "--no-sheet")
    with serving(at_bench) as asker:
        untouched = tree(at_bench)
        page = asker.ask(WORK)
        page = asker.follow(asker.send(WORK, {**filled(page, mass="292.3"), "upto": "5"}))
        assert "does not fit, left out" in page.text
        again = {"once": "b", "basis": page.value("basis"), "step": "1", "act": "read", "mass": "289.3"}
        page = asker.follow(asker.send(WORK, again))
        did = page.value("did")
        assert did == page.value("offered") and did.startswith("tungsten-tape @ ")
        did = re.sub(r"= .*", "= 2.4 g [120 mm]", did)
        fit = re.search(r'name="weighed-([0-9]+)"', page.text)[1]
        page = asker.follow(
            asker.send(WORK, filled(page, did=did, offered=page.value("offered"), **{f"weighed-{fit}": "25.7"}))
        )
        for words in (
            ("--read", "1: 292.3", "--done", "5"),
            ("--read", "1: 289.3"),
            ("--did", f"6: {did}", "--weighed", f"{fit}: 25.7"),
        ):
            assert passport(*resumed, *words).exit_code == 0
        assert tree(at_bench) == tree(commands) != untouched
        form = {"once": "c", "basis": page.value("basis"), "step": "0", "act": "abandon"}
        asks = asker.send(WORK, form)
        assert asks.status == 409 and "to be forgotten?" in asks.text and tree(at_bench) == tree(commands)
        assert asker.send(WORK, {**form, "agreed": asks.value("agreed")}).status == 303
        assert tree(at_bench) == untouched


def test_a_search_for_plans_keeps_nobody_waiting(shops, monkeypatch):
    """While a plan is worked out the rack is answered; the plans come when the search has ended."""
    begun, ends = threading.Event(), threading.Event()
    search = plans.planned

    def slow(*given):
        begun.set()
        assert ends.wait(60)
        return search(*given)

    monkeypatch.setattr(plans, "planned", slow)
    with serving(shops[0]) as asker:
        found = list[str]()
        asking = threading.Thread(
            target=lambda: found.append(asker.ask(f"/frame/ada/main/rebuild/plans?blank={BLANK}").text)
        )
        asking.start()
        assert begun.wait(60)
        assert "On the rack" in asker.ask("/").text and not found
        ends.set()
        asking.join(60)
        assert "A plan on target." in found[0]


def test_the_plans_are_those_of_the_command(shops):
    """Each piece of the plans stands there with its place as ``passport rebuild`` has it, on drawings of their own, within the
    limits that were said; the bench sheet is a PDF; and a limit that makes no sense is refused."""
    at_bench, _ = shops
    found = plans.planned(Workbench(load(at_bench)[0], rebuildshop.TODAY), ["ada/main"], [BLANK])
    with serving(at_bench) as asker:
        chosen = asker.ask("/frame/ada/main/rebuild").text
        assert f'value="{BLANK}" checked' in chosen and "from the setup" in chosen
        page = asker.ask(f"/frame/ada/main/rebuild/plans?blank={BLANK}").text
        (rebuild,) = found.rebuilds
        assert page.count("<svg") == len(rebuild.plans) + 1  # and the house's ornament
        for plan in rebuild.plans:
            for piece in plan.additions:
                assert piece.name in page and f"{piece.length_mm:g} mm" in page if piece.length_mm else True
        few = asker.ask(f"/frame/ada/main/rebuild/plans?blank={BLANK}&places=1").text
        assert "at most 1 place" in few
        assert asker.ask(f"/frame/ada/main/rebuild/sheet?blank={BLANK}").text.startswith("%PDF")
        for wrong in ("places=0", "cut=nan", "only=tungstn"):
            got = asker.ask(f"/frame/ada/main/rebuild/plans?blank={BLANK}&{wrong}")
            assert got.status == 409 and wrong.partition("=")[2] in got.text
        assert asker.ask("/frame/ada/main/rebuild/plans?blank=none-such").status == 409
        assert asker.ask("/frame/ada/main/rebuild/on/none-such").status == 409


def test_a_blank_measured_now_is_that_of_the_command(shops):
    """A new blank with its figures, and one in stock measured anew, are written as by ``passport blank``; a figure that
    cannot be read is told at its field."""
    at_bench, commands = shops
    address = "/frame/ada/main/rebuild/blank"
    new = {"once": "n", "which": "", "model": "larch-98", "state": "bare", "mass": "301.2", "balance": "317", "swingweight": "287",
           "serial": "L-1", "act": "save"}  # fmt: skip
    with serving(at_bench) as asker:
        wrong = asker.send(address, {**new, "mass": "heavy"})
        assert wrong.status == 409 and "is not a mass" in wrong.text and tree(at_bench) == tree(commands)
        got = asker.send(address, new)
        assert got.status == 303 and got.headers["location"].endswith("chosen=larch-98")
        assert asker.send(address, new).status == 303
        old = {"once": "o", "which": BLANK, "state": "bare", "mass": "289.4", "act": "save"}
        assert asker.send(address, old).status == 303
        assert 'value="larch-98"' in asker.follow(got).text
    figures = ("--mass", "301.2 g", "--balance", "317 mm", "--swingweight", "287 kgcm2")
    assert (
        passport("blank", commands, "--frame", "larch-98", "--serial", "L-1", *figures, "--yes", "--sure").exit_code
        == 0
    )
    assert passport("blank", commands, BLANK, "--mass", "289.4 g", "--yes", "--sure").exit_code == 0
    assert tree(at_bench) == tree(commands)


def test_frames_made_equal(tmp_path):
    """What ``passport match`` says of a set stands on the screen, with a job for each frame filled in from its plan."""
    read = (
        "mass: 330.0 g, balance: 320.0 mm, swingweight: 318.0 kgcm2",
        "mass: 326.4 g, balance: 321.0 mm, swingweight: 315.0 kgcm2",
    )
    frames = {
        name: rebuildshop.strung_frame(name.title(), text) for name, text in zip(("one", "two"), read, strict=True)
    }
    rebuildshop.shop(tmp_path, frames=frames)
    with serving(tmp_path) as asker:
        assert 'name="frame" value="ada/two" checked' in asker.ask("/player/ada/match").text
        page = asker.ask("/match?frame=ada/one&frame=ada/two").text
        assert "They can be made equal" in page and "Tungsten tape" in page and "3.6" in page
        job = re.search(r'href="(/frame/ada/[a-z]+/job\?[^"]*)"', page)[1].replace("&amp;", "&")
        assert "tungsten-tape @ " in asker.ask(job).text or "silicone @ " in asker.ask(job).text
        assert "One frame is equal to itself" in asker.ask("/match?frame=ada/one").text.replace(
            "one frame", "One frame"
        )
        assert asker.ask("/rebuild").status == 200
