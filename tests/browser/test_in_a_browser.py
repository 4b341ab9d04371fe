"""The bench in Debian's Chromium: for people who see little, use no mouse or no script, on any width; large enough to work by."""

import re
import shutil
import time
from importlib.resources import files

import pytest
from benchserver import serving
from browsing import opened
from commandline import EPOCH, passport
from places import DEMO

pytestmark = pytest.mark.browser

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22a", "wcag22aa", "best-practice"]
WIDTHS = (320, 390, 768, 1280, 1600)
FRAME = "/frame/askwell/i"
SCREENS = ("/", "/find?q=juniper", FRAME, f"{FRAME}/job", "/history", "/walk-in", f"{FRAME}/order", "/online")
REBUILD = "/frame/dunmarrow/one/rebuild"
SCREENS += ("/rebuild", REBUILD, f"{REBUILD}/plans?blank=fallowgate-a&blank=fallowgate-d", f"{REBUILD}/on/fallowgate-a")
SCREENS += ("/records", "/record?kind=player&name=askwell", "/record?kind=frame&name=askwell/i&at=jobs.1")
SCREENS += (f"{REBUILD}/on/fallowgate-a/finish", "/match?frame=askwell/i&frame=askwell/ii")
SCREENS += ("/devices", f"{FRAME}/photo", f"{FRAME}/print", "/record?kind=lot", "/record?kind=workshop&name=workshop")
SCREENS += ("/records?kind=blank&said=no-such-blank", "/player/askwell/match")


@pytest.fixture(scope="module")
def bench(tmp_path_factory):
    """The demo's bench with one more order, and a clock that runs."""
    content = tmp_path_factory.mktemp("demo") / "content"
    shutil.copytree(DEMO, content)
    passport("take", content, "1042-9", "--tension", "2 lb looser", "--promised", "2026-11-26", "--yes", "--sure")
    with serving(content) as asker:
        asker.send("/frame/quintaval/dos/knot", {"act": "tie"})
        yield asker


def seen(browser, bench, path: str, **options):
    """A screen in a browser that was let in."""
    name, _, value = bench.cookie.partition("=")
    cookie = {"name": name, "value": value, "domain": "127.0.0.1", "path": "/", "expires": -1, "httpOnly": True,
              "secure": False, "sameSite": "Strict"}  # fmt: skip
    state = {"cookies": [cookie], "origins": []}
    # A plan is searched for before its screen is there: many seconds on a machine that does other things besides.
    patience = 90_000 if "/rebuild" in path or "/match" in path else 15_000
    return opened(browser, f"http://{bench.host}{path}", patience=patience, storage_state=state, **options)


@pytest.mark.parametrize("path", SCREENS)
def test_axe_finds_no_fault_and_nothing_runs_over(browser, bench, path):
    """axe finds nothing against WCAG 2.2 AA or good practice, light or dark, from 320 to 1600 px; nothing is wider than the
    screen, at twice the text size neither; and whatever is pressed is 44 px high at least."""
    axe = (files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")
    with seen(browser, bench, path, bypass_csp=True) as page:
        page.evaluate(axe)
        page.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 844})
            assert page.evaluate(WIDER) == [], width
            low = page.evaluate(LOW)
            assert not low, f"{width} px: {low}"
            for scheme in {390: ("light",), 1280: ("dark",)}.get(width, ()):
                page.emulate_media(color_scheme=scheme)
                found = page.evaluate("tags => axe.run(document, {runOnly: tags})", TAGS)
                assert not [f"{v['id']}: {[n['html'][:90] for n in v['nodes'][:3]]}" for v in found["violations"]]
                assert len(found["passes"]) > 15, "axe looked at the page"
        for scheme in ("light", "dark"):
            page.emulate_media(forced_colors="active", color_scheme=scheme)
            found = page.evaluate("tags => axe.run(document, {runOnly: tags})", TAGS)
            assert not [f"{v['id']}: {[n['html'][:90] for n in v['nodes'][:3]]}" for v in found["violations"]], scheme
        page.emulate_media(forced_colors="none")
        page.set_viewport_size({"width": 390, "height": 844})
        page.add_style_tag(content="html { font-size: 200% }")
        assert page.evaluate(WIDER) == []


WIDER = """() => document.documentElement.scrollWidth <= document.documentElement.clientWidth ? [] :
  [...document.querySelectorAll('body *')].filter((e) => !e.closest('svg') && e.getBoundingClientRect().right > innerWidth + 1)
    .map((e) => e.outerHTML.slice(0, 80))"""
LOW = """() => [...document.querySelectorAll('a, button, summary, input:not([type=hidden]), textarea')]
  .filter((e) => !e.matches('.skip, [type=checkbox], [type=radio]') && e.checkVisibility())
  .concat([...document.querySelectorAll('label:has(> input)')].filter((e) => e.checkVisibility()))
  .filter((e) => e.getBoundingClientRect().height < 43.9).map((e) => e.outerHTML.slice(0, 80))"""


def _asked(page, bench):
    """A day before the last job is asked about."""
    page.goto(f"http://{bench.host}{FRAME}/job")
    page.locator("#date").fill("2026-01-02")
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_role("alert").wait_for()


def _conflict(page, bench):
    """Somebody else changed the record while the form was open."""
    page.goto(f"http://{bench.host}{FRAME}/job")
    record = bench.serving.bench.root / "players/askwell/i.yaml"
    record.write_text(record.read_text() + f"# changed {time.monotonic_ns()}\n")
    page.locator("#mass").fill("330.2")
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_text("changed meanwhile").wait_for()


def _lacking(page, bench):
    """A walk-in of whom hardly anything is said."""
    page.goto(f"http://{bench.host}/walk-in")
    page.locator("#player").fill("Mira T.")
    page.locator("#model").fill("Fallowgate 98")
    page.locator("#mains").fill("Gorse")
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_text("This is needed.").first.wait_for()


def _saved(page, bench, frame="askwell/iii"):
    """A frame was taken in."""
    page.goto(f"http://{bench.host}/frame/{frame}/order")
    page.locator("#asked").fill("softer")
    page.get_by_role("button", name="Take it in").click()
    page.get_by_role("button", name="Take it back").wait_for()


def _taken_back(page, bench):
    """What was saved is to be taken back, of a frame that no other state took in."""
    _saved(page, bench, "askwell/ii")
    page.get_by_role("button", name="Take it back").click()
    page.get_by_role("alert").wait_for()


def _nothing(page, bench):
    """A search that finds nothing."""
    page.goto(f"http://{bench.host}/find?q=no+such+frame")
    page.get_by_text("Nothing fits").wait_for()


def _record_told(page, bench):
    """A record's field that cannot be read, with the lines that would change."""
    page.goto(f"http://{bench.host}/record?kind=frame&name=askwell/i&at=jobs.1")
    page.locator("#f-jobs-1-date").fill("soon")
    page.get_by_role("button", name="Save", exact=True).click()
    page.locator(".field.is-told .beside").first.wait_for()


def _record_clash(page, bench):
    """Somebody else changed a field of a record while its form was open."""
    page.goto(f"http://{bench.host}/record?kind=player&name=askwell")
    record = bench.serving.bench.root / "players/askwell/player.yaml"
    record.write_text(re.sub(r"^(plays_a_week: ).*$", r"\g<1>6", record.read_text(), flags=re.MULTILINE))
    page.get_by_label("Plays a week").fill("4")
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_text("Meanwhile changed to").wait_for()
    record.write_text(record.read_text().replace("plays_a_week: 6", "plays_a_week: 5"))


def _taken_out(page, bench):
    """An entry is to be taken out."""
    page.goto(f"http://{bench.host}/record?kind=frame&name=askwell/i&at=jobs.2")
    page.get_by_role("button", name="Take it out").click()
    page.get_by_role("alert").wait_for()


def _step_told(page, bench):
    """A reading of a step that cannot be read."""
    page.goto(f"http://{bench.host}{REBUILD}/on/fallowgate-a")
    page.locator("#mass").fill("heavy")
    page.get_by_role("button", name="Done", exact=True).click()
    page.locator("#field-mass .is-bad").wait_for()


def _faulty(page, bench):
    """The rack beside a record that cannot be read."""
    record = bench.serving.bench.root / "players/dunmarrow/two.yaml"
    text = record.read_text()
    record.write_text(f"{text}nonsense: yes\n")
    page.goto(f"http://{bench.host}/")
    page.get_by_text("error in the records").click()
    page.get_by_text("nonsense").first.wait_for()
    record.write_text(text)


def _stopped(page, bench):
    """The way on-line, which an error in a record stopped."""
    record = bench.serving.bench.root / "players/dunmarrow/two.yaml"
    text = record.read_text()
    record.write_text(f"{text}nonsense: yes\n")
    page.goto(f"http://{bench.host}/online")
    page.get_by_role("button", name="Make the pages alone").click()
    page.get_by_text("That could not be done.").wait_for()
    record.write_text(text)


def _shut(page, bench):
    """A browser that was not let in."""
    page.context.clear_cookies()
    page.goto(f"http://{bench.host}/")
    page.get_by_text("closed to this browser").wait_for()


STATES = (_asked, _conflict, _lacking, _saved, _taken_back, _nothing, _record_told, _record_clash, _taken_out, _step_told, _faulty,
          _stopped, _shut)  # fmt: skip


@pytest.mark.parametrize("state", STATES, ids=lambda state: state.__name__)
def test_axe_finds_no_fault_in_what_comes_of_a_form(browser, bench, state):
    """Asked first, in conflict, lacking something, wrong at a field, saved, taken back, empty, stopped, shut out: light, dark and in forced colours, at 320 px and 1280,
    and at twice the text size."""
    axe = (files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")
    with seen(browser, bench, "/history", expected=(409, 403, 404), bypass_csp=True) as page:
        page.context.set_default_timeout(60_000)
        state(page, bench)
        page.evaluate(axe)
        for media in (
            {"color_scheme": "light"},
            {"color_scheme": "dark"},
            {"forced_colors": "active", "color_scheme": "light"},
            {"forced_colors": "active", "color_scheme": "dark"},
        ):
            page.emulate_media(**media)
            found = page.evaluate("tags => axe.run(document, {runOnly: tags})", TAGS)
            assert not [f"{v['id']}: {[n['html'][:90] for n in v['nodes'][:3]]}" for v in found["violations"]], media
        for width in (320, 1280):
            page.set_viewport_size({"width": width, "height": 844})
            assert (page.evaluate(WIDER), page.evaluate(LOW)) == ([], []), width
        page.set_viewport_size({"width": 390, "height": 844})
        page.add_style_tag(content="html { font-size: 200% }")
        assert page.evaluate(WIDER) == []


def test_string_and_tension_are_twelve_millimetres_high(browser, bench):
    """On a screen of ten inches, 16 to 10, 1280 px wide (215.4 mm by Pythagoras), figures and capitals of string and tension
    are 12 mm high at least: the typefaces' own cap heights, as fontTools reads them, times the size."""
    from fontTools.ttLib import TTFont

    from passport.render.theme.assets import fonts

    millimetre = 1280 / (10 * 25.4 * 16 / (16**2 + 10**2) ** 0.5)
    with seen(browser, bench, FRAME, viewport={"width": 1280, "height": 800}) as page:
        for selector, face in ((".pull-tension b", "display-600"), (".pull-string", "text-600")):
            font = TTFont(fonts() / f"{face}.ttf")
            capital = font["OS/2"].sCapHeight / font["head"].unitsPerEm
            size = page.evaluate("s => parseFloat(getComputedStyle(document.querySelector(s)).fontSize)", selector)
            assert size * capital / millimetre >= 12, selector


def test_ticks_and_clock_survive_a_reload(browser, bench):
    """What was ticked is ticked after a reload, and the clock goes on from the knot: it says when the bed is to be read."""
    with seen(browser, bench, FRAME) as page:
        page.clock.install(time=int(EPOCH) + 1)
        page.clock.pause_at(int(EPOCH) + 600)  # the knot is tied at the day's own moment, ten minutes before
        page.locator(".ticks input").nth(1).check()
        page.get_by_role("button", name="Last knot tied now").click()
        page.clock.run_for(2000)
        assert page.locator(".ticks input").nth(1).is_checked() and not page.locator(".ticks input").nth(0).is_checked()
        face = page.locator(".clock-face b")
        assert face.inner_text() == "10:02"
        page.clock.run_for(4 * 60_000 + 40_000)
        assert face.inner_text() == "14:42" and "is-now" in face.get_attribute("class")
        page.reload()
        page.clock.run_for(120_000)
        assert face.inner_text() == "16:42" and "is-late" in face.get_attribute("class")
        assert page.locator(".clocks li").count() == 2
        page.get_by_role("button", name="Stop").click()


def test_a_scanner_s_keystrokes_open_the_frame(browser, bench):
    """What a hand scanner types on any screen, without a field being chosen, opens the frame; with Enter at its end."""
    with seen(browser, bench, FRAME) as page:
        page.locator("h1").click()
        page.keyboard.type("1043-7")
        page.keyboard.press("Enter")
        page.wait_for_url("**/frame/askwell/ii")


def test_everything_works_without_a_script(browser, bench):
    """With scripts switched off a frame is found and its clock started and stopped by forms alone."""
    with seen(browser, bench, "/", java_script_enabled=False) as page:
        page.get_by_role("searchbox").fill("1043-7")
        page.get_by_role("button", name="Find").click()
        page.get_by_role("button", name="Last knot tied now").click()
        assert page.get_by_text("last knot at").is_visible()
        page.get_by_role("button", name="Stop").click()
        assert page.get_by_role("button", name="Last knot tied now").is_visible()


def test_a_reading_is_judged_as_it_is_typed_and_what_is_typed_survives(browser, bench):
    """An impossible mass is told beside its field while it is typed, and is still there when the page is opened again."""
    with seen(browser, bench, f"{FRAME}/job") as page:
        page.get_by_label("Mass").press_sequentially("880")
        told = page.locator("#field-mass .beside")
        told.first.wait_for()
        assert "880" in told.first.inner_text()
        page.reload()
        assert page.get_by_label("Mass").input_value() == "880"


def test_one_judgement_is_asked_for_at_a_time(browser, bench):
    """However fast fields are filled in and however slow the network is, what is typed is judged once at a time, so that a
    save waits for no row of judgements; the last one is of all that stands there."""
    with seen(browser, bench, f"{FRAME}/job") as page:
        slow = {"offline": False, "latency": 1500, "downloadThroughput": -1, "uploadThroughput": -1}
        page.context.new_cdp_session(page).send("Network.emulateNetworkConditions", slow)
        going, looks, most = set(), [], 0

        def asked(request) -> None:
            nonlocal most
            if "act=look" in (request.post_data or ""):
                going.add(request)
                looks.append(request.post_data)
                most = max(most, len(going))

        def answered(request) -> None:
            going.discard(request)

        page.on("request", asked)
        page.on("requestfinished", answered)
        for field, text in (("mass", "330"), ("balance", "320"), ("swingweight", "319")):
            page.locator(f"#{field}").fill(text)
            page.wait_for_timeout(700)
        page.locator("#field-swingweight .beside").first.wait_for()
        assert most == 1 and "mass=330" in looks[-1] and "swingweight=319" in looks[-1] and len(looks) < 4


def test_the_keyboard_alone_gets_everywhere(browser, bench):
    """The first stop of the keyboard on a frame's screen skips to the content; the frame of the rack opens by Enter."""
    with seen(browser, bench, "/") as page:
        page.locator(".slot a").first.focus()
        page.keyboard.press("Enter")
        page.wait_for_url("**/frame/quintaval/dos")
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.className") == "skip"


def test_the_first_screen_is_light(bench):
    """Page, style, script and icon of the first screen are under 60 kB, and nothing comes from elsewhere."""
    page = bench.ask("/").text
    parts = [page, *(bench.ask(f"/assets/{name}").text for name in ("bench.css", "bench.js", "icon.svg"))]
    assert sum(len(part.encode()) for part in parts) < 60_000
    assert not re.findall(r'(?:src|href|action)="(?![/#])[^"]*', page)
