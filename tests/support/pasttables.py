"""Invented tables of four shops' pasts, 200 rows each with the faults of real ones, and the truth beside them.

    python tests/support/pasttables.py [FOLDER]

writes them, has the program take each over, judges what came of it by the truth and prints the table. Nothing here comes
from the importer: the tables are made of lists of invented names, and the truth of a row is written down when it is made.
"""

import csv
import io
import random
import re
import sys
import tempfile
import zipfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import yaml
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table, TableCell, TableRow
from odf.text import P
from openpyxl import Workbook

ROWS = 200
FIRST = ["Ottilie", "Bruno", "Svea", "Lennard", "Maëlle", "Tancredi", "Ioana", "Wulf", "Begoña", "Casimir", "Drusilla", "Ewald", "Fiamma", "Gisbert", "Hedda", "Ismene", "Jorunn", "Kasper", "Lucasta", "Milo", "Nanette", "Odo", "Perpetua", "Quirin", "Rosalba", "Silvan", "Thekla", "Urs", "Vigdis", "Wanda", "Xenia", "Yorick"]  # fmt: skip
LAST = ["Abendroth", "Borromel", "Czernick", "Dragomar", "Estévao", "Falkenried", "Guérandel", "Hjorthal", "Imbrechts", "Jastrow", "Kvarnholm", "Lindqvor", "Mörtlbauer", "Niederwinkl", "Oxenbridge", "Pfauenholz", "Quistorp", "Ränderlin", "Sörrensund", "Tavistonek", "Uhlenbrock", "Vasconde", "Wolkenhaar", "Ypernstein", "Zwetlhofer", "Achterfeld", "Brückmoser", "Coldharrow", "Dünnwald", "Elsterbeck", "Fjellgard", "Grünbichl"]  # fmt: skip
CYRILLIC = {"Мирослава Зорянко": "Miroslava Zoryanko", "Тихомир Лужанич": "Tikhomir Luzhanich"}
STRINGS = {
    "gorsevine-125": ("Quellmoor", "Gorsevine", "polyester", "1.25"), "gorsevine-130": ("Quellmoor", "Gorsevine", "polyester", "1.30"),
    "sedgelight-130": ("Quellmoor", "Sedgelight", "nylon", "1.30"), "kelpwire-120": ("Brakenhus", "Kelpwire", "polyester", "1.20"),
    "mothgut-135": ("Brakenhus", "Mothgut", "gut", "1.35"), "finchline-70": ("Brakenhus", "Finchline", "nylon", "0.70"), "tansyloop-115": ("Quellmoor", "Tansyloop", "nylon", "1.15"),
}  # fmt: skip
MODELS = {
    "tarrock-heronwood-98": ("Tarrock", "Heronwood 98", "tennis", "98 sq in"),
    "tarrock-plovermere-100": ("Tarrock", "Plovermere 100", "tennis", "100 sq in"),
    "silberfuchs-nebelkamm": ("Silberfuchs", "Nebelkamm", "tennis", "102 sq in"),
    "silberfuchs-querwind-120": ("Silberfuchs", "Querwind 120", "squash", "500 cm2"),
    "tarrock-swiftlet-83": ("Tarrock", "Swiftlet 83", "badminton", "55 sq in"),
}  # fmt: skip


@dataclass
class Truth:
    """What a row says in truth: who, which racquet and mark, when, which strings, how tight; ``plain`` where all of it is
    written so that it can be known for certain. A row that is none of a job has no customer."""

    row: int
    sheet: str = ""
    customer: str = ""
    model: str = ""
    label: str = ""
    day: str = ""
    strings: tuple[str, str] = ("", "")
    tensions: tuple[str, str] = ("", "")
    plain: bool = True
    fault: str = ""
    names: tuple[str, ...] = ()
    """Texts of the row for which an answer may be waited for."""

    who: str = ""
    when: str = ""
    """Customer and day as somebody remembers them who is asked."""

    def spoiled(self, fault: str, *names: str, customer: bool = True, dated: bool = True) -> None:
        """Have it be no plain row; without ``customer`` or where it is not ``dated`` nobody can know what is meant."""
        self.plain, self.fault, self.names = False, fault, names
        self.who, self.when = self.who or self.customer, self.when or self.day
        self.customer = self.customer if customer else ""
        self.day = self.day if dated else ""


@dataclass
class PastTable:
    """A table's file, and the truth of each of its rows."""

    name: str
    data: bytes
    truths: list[Truth]


def content(folder: Path) -> Path:
    """A workshop that has its catalogue and nobody's frames yet."""
    (folder / "catalogue").mkdir(parents=True)
    (folder / "players").mkdir()
    (folder / "workshop.yaml").write_text(
        "name: Ropewalk Yard\naddress: https://cards.ropewalk.example\n", encoding="utf-8"
    )
    strings = {n: {"maker": m, "name": w, "material": k, "gauge": f"{g} mm"} for n, (m, w, k, g) in STRINGS.items()}
    models = {n: {"maker": m, "name": w, "sport": s, "head": h} for n, (m, w, s, h) in MODELS.items()}
    for name, table in (("strings", strings), ("frames", models)):
        (folder / f"catalogue/{name}.yaml").write_text(yaml.safe_dump(table, allow_unicode=True), encoding="utf-8")
    (folder / "catalogue/parts.yaml").write_text("", encoding="utf-8")
    return folder


class Maker:
    """Draws what a row says, so that no two rows of a customer are of one day and no two customers are alike."""

    def __init__(self, seed: int, sport: str, people: int) -> None:
        self.dice = random.Random(seed)
        last = self.dice.sample(LAST, len(LAST))
        self.people = [
            f"{first} {name}" for first, name in zip(self.dice.sample(FIRST, len(FIRST)), last, strict=True)
        ][:people]
        self.models = [name for name, model in MODELS.items() if (model[2] == "tennis") == (sport == "tennis")]
        self.low, self.high = (20.0, 26.0) if sport == "tennis" else (10.0, 12.0)
        self.pulls: dict[tuple[str, str], float] = {}
        self.racquets = {who: self.dice.choice(self.models) for who in self.people}
        self.day = date(2023, 1, 9)
        self.used: set[tuple[str, date]] = set()

    def next(self) -> Truth:
        """One more job, a day or a few after the last one."""
        self.day += timedelta(days=self.dice.choice((0, 0, 1, 1, 2, 3)))
        who = self.dice.choice(self.people)
        while (who, self.day) in self.used:
            who = self.dice.choice(self.people)
        self.used.add((who, self.day))
        string = self.string(self.racquets[who])
        return Truth(0, customer=who, model=self.racquets[who], day=self.day.isoformat(), strings=(string, string))

    def string(self, model: str) -> str:
        """A string that goes with a model's sport."""
        kinds = {"badminton": ["finchline-70"], "squash": ["tansyloop-115"]}
        tennis = [name for name in STRINGS if name not in ("finchline-70", "tansyloop-115")]
        return self.dice.choice(kinds.get(MODELS[model][2], tennis))

    def pull(self, truth: Truth) -> float:
        """How tight a customer likes it, half a kilogram more or less."""
        base = self.pulls.setdefault((truth.customer, truth.model), _half(self.dice, self.low, self.high))
        return base + self.dice.choice((-0.5, 0.0, 0.0, 0.5))


def _called(name: str) -> tuple[str, str, str, str]:
    maker, own, _, gauge = STRINGS[name]
    return maker, own, gauge, gauge.replace(".", "").lstrip("0")


def _half(dice: random.Random, low: float, high: float) -> float:
    return dice.randrange(int(low * 2), int(high * 2) + 1) / 2


def _figure(value: float, comma: bool = False) -> str:
    text = f"{value:g}"
    return text.replace(".", ",") if comma else text


_TAGE = ["Mo", "Di", "Mi", "Do", "Fr", "Sa", "So"]

# --- a shop that keeps CSV in German ----------------------------------------------------------------------------------


def german_csv(seed: int = 1) -> PastTable:
    """Windows-1252, semicolons, a title, sums a month, decimal commas, dots in days with years of two and four digits."""
    make = Maker(seed, "tennis", 26)
    dice, truths = make.dice, []
    rows: list[list[str]] = [
        ["Bespannungsbuch"],
        [""],
        ["Datum", "Kunde", "Schläger", "Saite", "kg", "Preis", "Bemerkung"],
    ]
    month = ""
    for number in range(ROWS):
        truth = make.next()
        if month and month != truth.day[:7]:
            rows += [["", "", "", "Summe", "", f"{dice.randrange(100, 900)},00", ""], [""] * 7]
            truths.append(Truth(len(rows) - 1, plain=False, fault="a sum"))
        month = truth.day[:7]
        row = _german_row(make, truth)
        if number % 9 == 5:
            _spoiled_german((number // 9) % 8, row, truth)
        elif truth.customer == make.people[0] and number % 2:
            row[1] = f"{truth.customer[:1]}. {truth.customer.split()[1]}"
            truth.spoiled("a first name shortened", row[1])
        rows.append(row)
        truth.row = len(rows)
        truths.append(truth)
        if number % 23 == 11:
            rows.append([""] * 7)
    rows.append(["", "", "", "Gesamt", "", "3.412,00", ""])
    truths.append(Truth(len(rows), plain=False, fault="a sum"))
    held = io.StringIO()
    csv.writer(held, delimiter=";", lineterminator="\r\n").writerows(rows)
    return PastTable("bespannungen.csv", held.getvalue().encode("cp1252"), truths)


def _german_row(make: Maker, truth: Truth) -> list[str]:
    dice, day, model = make.dice, date.fromisoformat(truth.day), MODELS[truth.model]
    maker, own, gauge, short = _called(truth.strings[0])
    string = dice.choice(
        (f"{own} {gauge.replace('.', ',')}", f"{own} {short}", f"{own} {gauge}", f"{maker} {own} {short}")
    )
    first, style = make.pull(truth), dice.randrange(4)
    second = first - dice.choice((0.5, 1.0)) if style else first
    one, other = _figure(first, True), _figure(second, True)
    pulled = (one, f"{one}/{other}", f"{one}-{other}", f"{one} kg / {other} kg")[style]
    truth.tensions = (f"{first:g} kg", f"{second:g} kg")
    written = dice.choice((
        f"{day:%d.%m.%Y}", f"{day:%d.%m.%y}", f"{day.day}.{day.month}.{day.year}", f"{_TAGE[day.weekday()]}, {day:%d.%m.%Y}",
    ))  # fmt: skip
    racquet = dice.choice((f"{model[0]} {model[1]}", model[1], model[1].upper()))
    who = dice.choice(
        (truth.customer, truth.customer, truth.customer.upper(), ", ".join(reversed(truth.customer.split())))
    )
    remark = dice.choice(("", "", "neues Griffband", "Rahmen prüfen"))
    return [written, who, racquet, string, pulled, f"{dice.randrange(15, 25)},00 €", remark]


def _spoiled_german(fault: int, row: list[str], truth: Truth) -> None:
    day, own = date.fromisoformat(truth.day), _called(truth.strings[0])[1]
    if fault == 0:
        row[1] = ""
        truth.spoiled("no customer", customer=False)
    elif fault == 1:
        row[4] += " bitte weicher"
        truth.spoiled("a note in the figures")
    elif fault == 2:
        row[0] = "31.02.2023"
        truth.spoiled("a day that is none", dated=False)
    elif fault == 3:
        row[1] = '"'
        truth.spoiled("a ditto", customer=False)
    elif fault == 4:
        row[3] = own
        truth.spoiled("a string without its thickness", own)
    elif fault == 5:
        row[4] = ""
        truth.spoiled("no tension")
    elif fault == 6:
        row[2] = row[2][:-1] + ("o" if row[2][-1] == "0" else "x")
        truth.spoiled("a model with a slip", row[2])
    else:
        row[0] = f"{day.day}.{day.month}."
        truth.spoiled("a day without its year", dated=False)


# --- a shop that keeps a workbook in English, in pounds ---------------------------------------------------------------

_ENGLISH = ["Date", "First name", "Surname", "Racket", "Mains", "Crosses", "Tension (lbs)", "Charge", "Comments"]


def english_xlsx(seed: int = 2) -> PastTable:
    """First and last name apart, days with the month first and as real days, merged days, formulas with results and without."""
    make = Maker(seed, "tennis", 24)
    truths: list[Truth] = []
    book = Workbook()
    sheet = book.active
    sheet.title = "Log"
    sheet.append(["Stringing log"])
    sheet.merge_cells("A1:I1")
    sheet.append(_ENGLISH)
    results: dict[str, float] = {}
    before = ""  # the day of the row above, where its cell can be merged with this one's
    for number in range(ROWS):
        truth = make.next()
        row, one, other = _english_row(make, truth, number)
        at, spoiled = sheet.max_row + 1, number % 9 == 5
        merged = before == truth.day and number % 5 == 2 and not spoiled
        before = "" if spoiled or merged else truth.day
        if spoiled:
            _spoiled_english((number // 9) % 7, row, truth, one)
        elif number % 9 == 2 and one == other:
            row[6] = f"={one - 2}+2"
            results[f"G{at}"] = one
        sheet.append([None, *row[1:]] if merged else row)
        if merged:
            sheet.merge_cells(start_row=at - 1, start_column=1, end_row=at, end_column=1)
        truth.row, truth.sheet = at, "Log"
        truths.append(truth)
        if number in (60, 130):
            sheet.append([None])
            sheet.append(_ENGLISH)
            truths.append(Truth(sheet.max_row, "Log", plain=False, fault="headings again"))
            before = ""
    sheet.append([None, None, None, None, None, "Total", None, "=SUM(H3:H200)", None])
    truths.append(Truth(sheet.max_row, "Log", plain=False, fault="a sum"))
    held = io.BytesIO()
    book.save(held)
    return PastTable("log.xlsx", _with_results(held.getvalue(), results), truths)


def _english_row(make: Maker, truth: Truth, number: int) -> tuple[list[object], int, int]:
    dice, day, model = make.dice, date.fromisoformat(truth.day), MODELS[truth.model]
    mains = truth.strings[0]
    crosses = make.string(truth.model) if number % 3 == 0 else mains
    truth.strings = (mains, crosses)
    texts = []
    for maker, own, gauge, short in map(_called, truth.strings):
        texts.append(dice.choice((f"{own} {gauge}", f"{own} {short}", f"{maker} {own} {gauge}mm")))
    one = round(make.pull(truth) * 2.2)
    other = one - dice.choice((0, 1, 2))
    truth.tensions = (f"{one} lb", f"{other} lb")
    pulled: object = dice.choice((f"{one}/{other}", f"{one}x{other}", f"{one} - {other}", f"{one}/{other} lbs"))
    if one == other:
        pulled = f"{one}#" if number % 4 == 0 else one
    written: object = day if number % 3 else f"{day.month}/{day.day}/{day.year}"
    second = texts[1] if crosses != mains else None
    row = [
        written,
        *truth.customer.split(),
        f"{model[0]} {model[1]}",
        texts[0],
        second,
        pulled,
        dice.randrange(18, 30),
        None,
    ]
    return row, one, other


def _spoiled_english(fault: int, row: list[object], truth: Truth, one: int) -> None:
    own = _called(truth.strings[0])[1]
    if fault == 0:
        row[1] = row[2] = None
        truth.spoiled("no customer", customer=False)
    elif fault == 1:
        row[6] = "=50+3"
        truth.spoiled("a formula without a result")
    elif fault == 2:
        row[6] = f"{one} (asked for {one + 2})"
        truth.spoiled("a note in the figures")
    elif fault == 3:
        row[4:6] = [own, None]
        truth.spoiled("a string without its thickness", own)
    elif fault == 4:
        row[0] = date(2062, 5, 1)
        truth.spoiled("a day to come", dated=False)
    elif fault == 5:
        row[2] = f"{row[2]}ee"
        truth.spoiled("a surname with a slip", f"{row[1]} {row[2]}")
    else:
        row[6] = date(2023, 11, 10)
        truth.spoiled("a day made of two tensions")


def _with_results(data: bytes, results: dict[str, float]) -> bytes:
    """The workbook as a program saves it that works formulas out: with their results beside them."""
    held = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as new:
        for entry in old.infolist():
            text = old.read(entry)
            if entry.filename == "xl/worksheets/sheet1.xml":
                for cell, value in results.items():
                    pattern = rf'(<c r="{cell}"[^>]*><f>[^<]*</f>)<v\s*/>|(<c r="{cell}"[^>]*><f>[^<]*</f>)<v></v>'
                    text = re.sub(pattern.encode(), lambda m, v=value: (m[1] or m[2]) + f"<v>{v}</v>".encode(), text)
            new.writestr(entry.filename, text)
    return held.getvalue()


# --- a shop of two languages that keeps a sheet a year ----------------------------------------------------------------

_MONTHS = ["janv.", "févr.", "mars", "avril", "mai", "juin", "juil.", "août", "sept.", "oct.", "nov.", "déc."]
_MESES = [
    "enero",
    "febrero",
    "marzo",
    "abril",
    "mayo",
    "junio",
    "julio",
    "agosto",
    "septiembre",
    "octubre",
    "noviembre",
    "diciembre",
]
_BARE = str.maketrans("ëéöüäßåøœ", "eeouasaoo")


def french_ods(seed: int = 3) -> PastTable:
    """French headings and Spanish habits: months by name and in figures, kilograms behind the figure, two sheets, names
    with and without accents."""
    make = Maker(seed, "tennis", 25)
    truths: list[Truth] = []
    document = OpenDocumentSpreadsheet()
    accented = next(who for who in make.people if who != who.translate(_BARE))
    for name in ("Année 1", "Année 2"):
        lines: list[list[object]] = [
            ["Cordages"],
            [],
            ["Date", "Client", "Raquette", "Cordage", "Tension", "Prix", "Remarques"],
        ]
        for number in range(ROWS // 2):
            truth = make.next()
            truth.sheet = name
            line = _french_row(make, truth)
            if number % 9 == 5:
                _spoiled_french((number // 9) % 6, line, truth)
            elif truth.customer == accented:
                truth.names = (accented,)
                if number % 3 == 0:
                    line[1] = accented.translate(_BARE)
                    truth.spoiled("a name without its accents", str(line[1]))
            lines.append(line)
            truth.row = len(lines)
            truths.append(truth)
            if number == 50:
                lines += [[], ["Été"]]
                truths.append(Truth(len(lines), name, plain=False, fault="a title"))
        lines.append([None, None, None, "Total", None, 2412, None])
        truths.append(Truth(len(lines), name, plain=False, fault="a sum"))
        table = Table(name=name)
        for line in lines:
            table.addElement(_ods_row(line))
        document.spreadsheet.addElement(table)
    held = io.BytesIO()
    document.write(held)
    return PastTable("cordages.ods", held.getvalue(), truths)


def _french_row(make: Maker, truth: Truth) -> list[object]:
    dice, day = make.dice, date.fromisoformat(truth.day)
    _, own, gauge, short = _called(truth.strings[0])
    one = make.pull(truth)
    other = one - dice.choice((0.0, 1.0))
    truth.tensions = (f"{one:g} kg", f"{other:g} kg")
    pulled = f"{_figure(one, True)}kg" if one == other else f"{_figure(one)}x{_figure(other)} kg"
    written: object = dice.choice((
        f"{day.day} {_MONTHS[day.month - 1]} {day.year}", f"{day.day} de {_MESES[day.month - 1]} de {day.year}",
        f"{day:%d/%m/%y}", f"{day:%d/%m/%Y}", day,
    ))  # fmt: skip
    string = f"{own} {dice.choice((gauge, short, gauge.replace('.', ',') + ' mm'))}"
    remark = dice.choice((None, "suave", "revoir les œillets"))
    return [written, truth.customer, MODELS[truth.model][1].lower(), string, pulled, dice.randrange(15, 30), remark]


def _spoiled_french(fault: int, line: list[object], truth: Truth) -> None:
    if fault == 0:
        line[1] = None
        truth.spoiled("no customer", customer=False)
    elif fault == 1:
        line[4] = "25 ou 26"
        truth.spoiled("a note in the figures")
    elif fault == 2:
        line[3] = "corde du client"
        truth.spoiled("a string that nobody knows", "corde du client")
    elif fault == 3:
        line[0] = "la semaine dernière"
        truth.spoiled("a day in words", dated=False)
    elif fault == 4:
        line[2] = None
        truth.spoiled("no racquet", f"{truth.customer} / ?")
    else:
        line[4] = 240
        truth.spoiled("a figure that cannot be")


def _ods_row(line: list[object]) -> TableRow:
    row = TableRow()
    for value in line:
        if value is None:
            row.addElement(TableCell())
        else:
            number = isinstance(value, int | float)
            kind = {"valuetype": "float", "value": str(value)} if number else {"valuetype": "string"}
            if isinstance(value, date):
                kind = {"valuetype": "date", "datevalue": value.isoformat()}
            cell = TableCell(**kind)
            cell.addElement(P(text=f"{value:%d/%m/%y}" if isinstance(value, date) else str(value)))
            row.addElement(cell)
    return row


# --- a shop of squash and badminton whose frames have marks -----------------------------------------------------------

_NEW = {"Wiesenpieper 77": ("Tarrock", "badminton", "54"), "Kiebitzgrund 130": ("Silberfuchs", "squash", "490")}
_MARKED = ["When", "Player", "Brand", "Model", "Sport", "Head size", "Racket no", "String", "Tension", "Price"]


def marked_xlsx(seed: int = 4) -> PastTable:
    """Units in the cells' formats, racquets told apart by a mark, names in two scripts, new models with all that is printed
    on them."""
    make = Maker(seed, "other", 22)
    make.people += list(CYRILLIC)
    make.racquets |= {who: make.dice.choice(make.models) for who in CYRILLIC}
    truths: list[Truth] = []
    book = Workbook()
    sheet = book.active
    sheet.title = "Strings"
    sheet.append(_MARKED)
    for number in range(ROWS):
        truth = make.next()
        row = _marked_row(make, truth, new=number % 12 == 4, real=number % 2 == 1)
        if truth.customer in CYRILLIC:
            row[1] = CYRILLIC[truth.customer] if number % 2 else truth.customer
            truth.spoiled("a name in two scripts", CYRILLIC[truth.customer], truth.customer)
        if number % 9 == 5:
            _spoiled_marked((number // 9) % 6, row, truth)
        sheet.append(row)
        truth.row = sheet.max_row
        if isinstance(row[8], float):
            sheet.cell(truth.row, 9).number_format = '0.0" kg"'
        truths.append(truth)
    held = io.BytesIO()
    book.save(held)
    return PastTable("strings.xlsx", held.getvalue(), truths)


def _marked_row(make: Maker, truth: Truth, *, new: bool, real: bool) -> list[object]:
    dice, day = make.dice, date.fromisoformat(truth.day)
    _, own, gauge, _ = _called(truth.strings[0])
    brand, name, sport, head = MODELS[truth.model]
    head = head.split()[0]
    if new:
        truth.model = name = next(each for each, made in _NEW.items() if made[1] == sport)
        brand, sport, head = _NEW[name]
    truth.label, truth.sheet = dice.choice(("1", "2")), "Strings"
    pulled = make.pull(truth)
    truth.tensions = (f"{pulled:g} kg", f"{pulled:g} kg")
    written: object = day if real else day.isoformat()
    return [
        written,
        truth.customer,
        brand,
        name,
        sport.capitalize(),
        head,
        int(truth.label),
        f"{own} {gauge}",
        pulled,
        dice.randrange(12, 22),
    ]


def _spoiled_marked(fault: int, row: list[object], truth: Truth) -> None:
    who = truth.names
    if fault == 0:
        row[1] = None
        truth.spoiled("no customer", customer=False)
    elif fault == 1:
        row[8] = "tight"
        truth.spoiled("a note in the figures")
    elif fault == 2:
        row[6] = None
        truth.spoiled("no mark among marked ones", f"{row[1]} / {row[3]}", *who)
    elif fault == 3:
        row[8] = "#REF!"
        truth.spoiled("an error")
    elif fault == 4:
        row[7] = f"{str(row[7]).split()[0]} 0.66"
        truth.spoiled("a string that is not there", str(row[7]))
    else:
        row[0] = "?"
        truth.spoiled("a day that nobody knows", dated=False)


TABLES = (german_csv, english_xlsx, french_ods, marked_xlsx)


# --- the judgement ----------------------------------------------------------------------------------------------------


@dataclass
class Verdict:
    """How a table was taken over: plain rows and how many of them are right, what is wrong, what is nowhere."""

    name: str
    rows: int
    plain: int
    right: int
    taken: int
    wrong: list[str]
    nowhere: list[str]
    late: list[str]
    """Plain rows that were not taken but listed for a person."""

    def line(self) -> str:
        """The verdict as a line of the table."""
        share = 100 * self.right / self.plain
        listed = self.rows - self.taken
        return f"{self.name:18} {self.rows:5} {self.plain:6} {self.right:6} {share:6.1f} % {self.taken:6} {len(self.wrong):6} {listed:8} {len(self.nowhere):8}"


HEAD = f"{'table':18} {'rows':>5} {'plain':>6} {'right':>6} {'share':>8} {'taken':>6} {'wrong':>6} {'listed':>8} {'nowhere':>8}"


def judged(table: PastTable, folder: Path, review: str) -> Verdict:
    """What became of a table in a content folder, read as plain YAML, by the truth; ``review`` is the review list's text."""
    written = _jobs(folder)
    listed = yaml.safe_load(review.replace(": ,", ": '',").replace(": }", ": ''}"))
    rows = {(row.get("sheet", ""), row["row"]) for row in listed.get("rows") or [] if "row" in row}
    rows |= {("", number) for _, number in rows} if len({t.sheet for t in table.truths}) < 2 else set()
    names = {
        _plain(entry["name"]) for kind in ("players", "racquets", "strings", "frames") for entry in listed.get(kind) or []
        if entry["decide"] == "open"
    }  # fmt: skip
    verdict = Verdict(table.name, len(table.truths), sum(t.plain for t in table.truths), 0, 0, [], [], [])
    for truth in table.truths:
        spellings = (truth.customer, CYRILLIC.get(truth.customer, "")) if truth.customer else ()
        keys = [(who.casefold(), truth.model, truth.label, truth.day) for who in spellings]
        found = next((written.pop(key) for key in keys if key in written), None)
        place = f"{truth.sheet} row {truth.row} {truth.fault}".strip()
        waits = (
            (truth.sheet, truth.row) in rows
            or ("", truth.row) in rows
            or any(_plain(name) in names for name in truth.names)
        )
        if found:
            verdict.taken += 1
            if found == (truth.strings, truth.tensions):
                verdict.right += truth.plain
            else:
                verdict.wrong.append(f"{place}: {found}, in truth {truth.strings} {truth.tensions}")
        elif not waits:
            verdict.nowhere.append(place)
        elif truth.plain:
            verdict.late.append(place)
    verdict.wrong += [f"a job that is in no row: {key}" for key in written]
    return verdict


def answered(table: PastTable, folder: Path, review: str) -> str:
    """The review list with all that somebody answers who knows the truth; what a row does not tell is remembered."""
    listed = yaml.load(review, yaml.BaseLoader)
    frames = {key: name for key, name, _ in _records(folder)}
    asked = {entry["name"] for entry in listed.get("players") or [] if entry["decide"] == "open"}
    truths = {(truth.sheet, truth.row): truth for truth in table.truths}
    for kind in ("players", "racquets", "strings", "frames"):
        for entry in listed.get(kind) or []:
            told = [truth for truth in table.truths if _plain(entry["name"]) in map(_plain, truth.names)]
            if told and entry["decide"] == "open":
                entry["decide"] = _answer(kind, entry["name"], told[0], frames, asked)
    for entry in listed.get("rows") or []:
        row = int(entry.get("row", 0))
        truth = truths.get((entry.get("sheet", ""), row)) or truths.get((table.truths[0].sheet, row))
        if truth and truth.tensions[0] and entry["decide"] == "open":
            entry["cells"] = {"customer": truth.who, "date": truth.when, "tension": " / ".join(truth.tensions)}
    return str(yaml.safe_dump(listed, allow_unicode=True))


def _answer(kind: str, name: str, truth: Truth, frames: dict[tuple[str, str, str], str], asked: set[str]) -> str:
    """What a name means, for somebody who knows."""
    if kind == "strings":
        return "leave out" if truth.fault == "a string that nobody knows" else truth.strings[0]
    if kind == "racquets":
        return truth.model
    if kind == "frames":
        whos = (truth.who, CYRILLIC.get(truth.who, truth.who))
        return next(
            (frames[key] for who in whos if (key := (who.casefold(), truth.model, truth.label)) in frames), "leave out"
        )
    who = truth.who or truth.customer
    if who in CYRILLIC:
        return who if name != who else "new" if CYRILLIC[who] in asked else CYRILLIC[who]
    return "new" if _plain(name) == _plain(who) else who


def remembered(table: PastTable) -> PastTable:
    """The table as it is for somebody who remembers what its rows do not tell."""
    for truth in table.truths:
        truth.customer, truth.day = truth.customer or truth.who, truth.day or truth.when
    return table


def _plain(name: str) -> str:
    return re.sub(r"[^\w]+", " ", name.casefold()).strip()


def _records(folder: Path) -> Iterator[tuple[tuple[str, str, str], str, dict[str, Any]]]:
    """Each frame of a content folder: its player, model and mark, its name, and its record as plain YAML."""
    models = yaml.safe_load((folder / "catalogue/frames.yaml").read_text(encoding="utf-8"))
    for path in (folder / "players").glob("*/*.yaml"):
        if path.name != "player.yaml":
            player = yaml.load((path.parent / "player.yaml").read_text(encoding="utf-8"), yaml.BaseLoader)
            who = player.get("full_name") or player["name"]
            frame = yaml.load(path.read_text(encoding="utf-8"), yaml.BaseLoader)
            model = frame["model"] if frame["model"] in MODELS else models[frame["model"]]["name"]
            label = "" if frame["label"] in (MODELS.get(frame["model"], ("", ""))[1], model) else frame["label"]
            yield (who.casefold(), model, label), f"{path.parent.name}/{path.stem}", frame


def _jobs(folder: Path) -> dict[tuple[str, str, str, str], tuple[tuple[str, str], tuple[str, str]]]:
    """Every job of a content folder: by player, model, mark and day, its strings and tensions."""
    found = {}
    for (who, model, label), _, frame in _records(folder):
        for job in frame.get("jobs") or []:
            mains = job["strings"]["mains"]
            crosses = job["strings"].get("crosses") or mains
            key = (who, model, label, job["date"])
            assert key not in found, f"twice: {key}"
            found[key] = ((mains["string"], crosses["string"]), (mains["tension"], crosses["tension"]))
    return found


def main() -> None:
    """Write all tables, take them over, print the verdicts and whatever is not as it is to be."""
    sys.path.insert(0, str(Path(__file__).parent))
    from commandline import passport

    root = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(tempfile.mkdtemp())
    lines, notes = [HEAD], []
    for make in TABLES:
        for seed in (int(sys.argv[2]),) if len(sys.argv) > 2 else (1, 2, 3):
            table = make(seed)
            folder = root / f"{table.name}-{seed}"
            shop = content(folder / "content")
            (folder / table.name).write_bytes(table.data)
            passport("import", shop, folder / table.name, "--write", "--yes")
            verdict = judged(table, shop, (folder / f"{table.name}.review.yaml").read_text(encoding="utf-8"))
            lines.append(verdict.line())
            place = folder / f"{table.name}.review.yaml"
            place.write_text(answered(table, shop, place.read_text(encoding="utf-8")), encoding="utf-8")
            passport("import", shop, folder / table.name, "--write", "--yes")
            verdict = judged(remembered(table), shop, place.read_text(encoding="utf-8"))
            lines.append(f"{verdict.line()}   once answered")
            notes += [f"{table.name}: wrong: {what}" for what in verdict.wrong[:8]]
            notes += [f"{table.name}: nowhere: {what}" for what in verdict.nowhere[:8]]
            notes += [f"{table.name}: plain, but listed: {what}" for what in verdict.late[:8]]
            notes.append(f"{table.name}: faults {dict(Counter(t.fault for t in table.truths if t.fault))}")
    print("\n".join([*notes, *lines]))


if __name__ == "__main__":
    main()
