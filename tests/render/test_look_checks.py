"""Every fault in what a shop brings of its own, with what to do about it."""

from dataclasses import replace
from pathlib import Path

import cardfacts
import pytest
from overlay import laid
from pictures import camera
from printed import twins
from printread import text

from passport.records.load import load
from passport.records.schema.numbers import new_key, new_secret
from passport.render.drawing.qr import QrTooLarge, budget, qr_matrix
from passport.render.look_checks import ALWAYS_FITS, FINE_MM, label_cuts, run
from passport.render.print.card import CODE_MM, card_pdf
from passport.render.print.setcard import set_pdf
from passport.render.print.tag import tag_pdf
from passport.render.theme import assets
from passport.render.theme.address import written
from passport.render.theme.palette import contrast

SHOP = """\
name: Larchwood Bench
address: https://cards.larchwood.example
"""
PO = 'msgid ""\nmsgstr ""\n"Content-Type: text/plain; charset=utf-8\\n"\n\nmsgid "Strung on %(date)s"\nmsgstr "{}"\n'
SVG = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 3 1"/>'


def found(tmp_path: Path, files: dict[str, str], look: str = "") -> list:
    """The faults of a shop with some files and a look of its own."""
    root = laid(tmp_path, {**files, "workshop.yaml": SHOP + look})
    with assets.using(root):
        return run(load(root)[0])


def test_a_sound_look_has_no_fault(tmp_path):
    """Readable colours, a logo, a further language, a template and rules of one's own are no fault."""
    files = {
        "style/mark.svg": SVG,
        "style/extra.css": "a { color: red; background: url('../assets/logo.svg'); }\n",
        "messages/it.po": PO.format("Incordata il %(date)s"),
        "templates/pages/reach.html.j2": "{{ _('Player') }} {{ f.mm(3) }} {{ 'throat' | place(f) }}\n",
        "players/ines/player.yaml": "name: Ines\nlanguage: it\n",
    }
    assert found(tmp_path, files, 'look: {accent: "#1d4a7a", second: "#6b2c12", logo: mark.svg}\n') == []


@pytest.mark.parametrize(
    ("files", "look", "rule", "word"),
    [
        ({}, 'look: {accent: "#ffcc00"}', "weak-colour", "contrast of 1.5"),
        ({}, 'look: {second: "#c9b3c1"}', "weak-colour", "nearest darker"),
        ({}, "look: {logo: mark.svg}", "missing-logo", "folder 'style'"),
        ({"style/mark.svg": SVG}, "look: {logo: ../style/mark.svg}", "missing-logo", "its name alone"),
        ({"style/mark.svg": "<html/>"}, "look: {logo: mark.svg}", "bad-logo", "not an SVG"),
        ({}, "look: {fonts: {text: mill.woff2}}", "missing-font", "WOFF2"),
        ({"fonts/mill.woff2": "text"}, "look: {fonts: {display: mill.woff2}}", "bad-font", "not a WOFF2"),
        ({"messages/xx-nowhere.po": PO}, "", "unknown-language", "it.po"),
        ({"messages/it.po": "Player = Giocatrice"}, "", "bad-words", "not a message catalogue"),
        ({"messages/it.po": PO.format("Incordata")}, "", "bad-words", "%(date)s"),
        ({"templates/pages/home.html.j2": "{% block x %}\n{% endfor %}\n"}, "", "bad-template", "endfor"),
        ({"style/extra.css": "a {}\nb { background: url(https://x.example/a.png); }"}, "", "foreign-address", "elsewhere"),
        ({"style/extra.css": "@import 'other.css';"}, "", "foreign-address", "elsewhere"),
        ({"style/extra.css": "x" * 500_000}, "", "too-large", "500 kB"),
        ({"players/ines/player.yaml": "name: Ines\nlanguage: nl\n"}, "", "no-words", "messages/nl.po"),
        ({}, "language: xx", "no-words", "in English"),
        ({"players/ines/player.yaml": "name: Ines\nlanguage: nl\n"}, "language: de", "no-words", "will be in German"),
    ],
)  # fmt: skip
def test_each_fault_is_told_with_what_to_do(tmp_path, files, look, rule, word):
    """One thing wrong is one fault of its own rule, in sentences, with what to do."""
    faults = found(tmp_path, files, look)
    assert [fault.rule for fault in faults] == [rule]
    (fault,) = faults
    assert word in f"{fault.what} {fault.do}"
    assert all(sentence[0].isupper() or sentence[0] in "'#" for sentence in (fault.what, fault.do))
    assert fault.do.endswith((".", "”", "turn."))
    assert fault.severity == ("warning" if rule == "no-words" else "error")


def test_the_advised_colour_is_taken(tmp_path):
    """The colour that is advised in place of a weak one has no fault, and white text on it can be read."""
    (fault,) = found(tmp_path / "a", {}, 'look: {accent: "#ffcc00"}')
    advised = fault.do.split("'")[1]
    assert contrast(advised, "#ffffff") >= 7
    assert found(tmp_path / "b", {}, f'look: {{accent: "{advised}"}}') == []


def test_a_place_in_a_file_is_told(tmp_path):
    """A fault in a template or style sheet names its line."""
    (fault,) = found(tmp_path, {"templates/pages/home.html.j2": "fine\n{% if %}\n"})
    assert (Path(fault.place.file).name, fault.place.line) == ("home.html.j2", 2)
    assert fault.place.excerpt == "{% if %}"


def test_links_out_of_the_folder_are_refused(tmp_path):
    """A template that is a link to elsewhere is refused, so that a build reads nothing that was not meant."""
    root = laid(tmp_path, {"workshop.yaml": SHOP})
    (tmp_path / "secret.html.j2").write_text("secret")
    (root / "templates/pages").mkdir(parents=True)
    (root / "templates/pages/home.html.j2").symlink_to(tmp_path / "secret.html.j2")
    (root / "style").mkdir()
    (root / "style/mark.jpg").write_bytes(camera())
    with assets.using(root):
        assert [fault.rule for fault in run(load(root)[0])] == ["outside-link"]


FRAME = "number: 2001-0\nmodel: larch\nlabel: I\n"


def sealed_shop(host: int, sealed: str) -> dict[str, str]:
    """A shop with one frame and an address of so many characters; no part of a host's name has more than 63."""
    name = "".join("." if i % 50 == 49 else "x" for i in range(host - 16))
    address = f"https://{name}.example"
    assert len(address) == host
    return {
        "workshop.yaml": f"name: Larchwood Bench\naddress: {address}\n",
        "players/ines/player.yaml": "name: Ines\n",
        "players/ines/one.yaml": f"{FRAME}key: {new_key()}\n{sealed}",
    }


@pytest.mark.parametrize(
    ("characters", "sealed", "rules"),
    [(36, True, []), (58, True, []), (62, True, ["long-address"]), (62, False, []), (104, False, ["long-address"])],
)
def test_an_address_too_long_for_a_printed_code_is_told_before_printing(tmp_path, characters, sealed, rules):
    """An address is warned of where a code of a frame that there is would have modules under 0.5 mm; with as many
    characters less as the warning says the code fits, and with one more it does not."""
    files = sealed_shop(characters, f"sealed: yes\nsecret: {new_secret()}\n" if sealed else "")
    root = laid(tmp_path, files)
    content = load(root)[0]
    faults = [fault for fault in run(content) if fault.rule == "long-address"]
    assert [fault.rule for fault in faults] == rules
    for fault in faults:
        assert fault.severity == "warning" and "workshop.yaml:2" in str(fault.place)
        over = int(fault.do.split(" characters")[0].rpartition(" ")[2])
        secret = new_secret() if sealed else ""
        address = content.workshop.record.address
        fits = qr_matrix(written(address[:-over], new_key(), secret), budget(CODE_MM, FINE_MM))
        assert fits.module_mm(CODE_MM) >= FINE_MM - 1e-9
        with pytest.raises(QrTooLarge):
            qr_matrix(written(address[: len(address) - over + 1], new_key(), secret), budget(CODE_MM, FINE_MM))


@pytest.mark.parametrize("path", ["", "/p", "/customers/of/ours"])
def test_short_addresses_need_no_look(path):
    """An address of 36 characters has room for a secret in the code whatever it is made of, so that it need not be tried."""
    host = "https://" + "x" * (ALWAYS_FITS - len(path) - 16) + ".example"
    found = qr_matrix(written(host + path, new_key(), new_secret()), budget(CODE_MM, FINE_MM))
    assert found.module_mm(CODE_MM) >= FINE_MM - 1e-9


@pytest.mark.parametrize("sealed", [False, True])
@pytest.mark.parametrize("language", ["en", "fr"])
def test_a_label_is_told_of_where_the_card_cuts_it(sealed, language):
    """A label counts as cut exactly where the card prints it with an ellipsis; a sealed passport has less room."""
    words = "Wide meadow match number two of summer in the year of rain"
    cut = [
        "card" in label_cuts(words[:most], cardfacts.FRAME.number, language, sealed=sealed) for most in range(20, 58)
    ]
    last = cut.index(True) - 1
    assert cut == sorted(cut) and last > 0
    for most, whole in ((20 + last, True), (21 + last, False)):
        frame = replace(cardfacts.FRAME, label=words[:most], language=language, secret=new_secret() if sealed else "")
        assert (words[:most] in text(card_pdf(frame, cardfacts.SHOP), 1)) == whole


def test_a_cut_label_is_a_warning(tmp_path):
    """It stands at the label, with what would fit; plain short ones cost nothing."""
    frame = "model: larch\nlabel: The one with the long name that nobody shortens, ever\n"
    (fault,) = found(tmp_path, {"players/ines/one.yaml": frame}, "")
    assert (fault.rule, fault.severity) == ("label-cut", "warning")
    assert "characters" in fault.do


@pytest.mark.parametrize("count", [3, 4])
def test_a_label_is_told_of_where_the_card_of_its_set_cuts_it(count):
    """A label counts as cut exactly where one side of that card prints it with an ellipsis."""
    words = "Wide meadow match number two of summer in the year of rain"
    player, group = twins(count)
    number = group.frames[0].number
    fits = [n for n in range(8, 50) if "set" not in label_cuts(words[:n], number, "en", sealed=False, together=count)]
    assert fits == list(range(8, fits[-1] + 1)) and words[fits[-1]] != " "
    for most, whole in ((fits[-1], True), (fits[-1] + 1, False)):
        frames = (replace(group.frames[0], label=words[:most]), *group.frames[1:])
        data = set_pdf(player, replace(group, frames=frames), cardfacts.SHOP)
        assert all(words[:most] in text(data, side) for side in (0, 1)) == whole


def test_a_label_is_told_of_where_the_tag_cuts_it():
    """A tag has more room than a card's back: where it cuts a label, the card does as well."""
    words = "Wide meadow match number two of summer in the year of rain and of storm and of a very late spring"
    cuts = [label_cuts(words[:most], cardfacts.FRAME.number, "en", sealed=False) for most in range(20, len(words))]
    most = 20 + next(i for i, cut in enumerate(cuts) if "tag" in cut) - 1
    assert all("card" in cut for cut in cuts if "tag" in cut)
    for end, whole in ((most, True), (most + 1, False)):
        data = tag_pdf(replace(cardfacts.FRAME, label=words[:end]), cardfacts.SHOP)
        assert all(words[:end] in text(data, side) for side in (0, 1)) == whole


def test_a_warning_names_every_piece_that_cuts_a_label(tmp_path):
    """The card of a set of four cuts labels that a card has room for; a very long one is cut on all three."""
    frames = {
        f"players/ines/{name}.yaml": f"model: larch\nset: Four\nlabel: {label}\n"
        for name, label in (
            ("one", "Wide meadow match number two of"),
            ("two", "2"),
            ("three", "3"),
            ("four", f"{'Wide meadow ' * 8}4"),
        )
    }
    faults = {
        Path(fault.place.file).stem: fault.what for fault in found(tmp_path, frames, "") if fault.rule == "label-cut"
    }
    assert "card of its set, and is cut there" in faults["one"]
    assert (
        "back of a card" in faults["four"]
        and "The card of its set" in faults["four"]
        and "The tag cuts" in faults["four"]
    )
