"""What a column of a table of the past may hold, and the words by which shops head it in several languages."""

from dataclasses import dataclass
from typing import Final

IGNORED: Final = "ignore"
REMARK: Final = "remark"


@dataclass(frozen=True, slots=True)
class TableField:
    """What a column may hold: what it says to a person, the headings that mean it, and whether several columns may."""

    name: str
    says: str
    words: tuple[str, ...]
    many: bool = False


def _field(name: str, says: str, words: str, *, many: bool = False) -> TableField:
    return TableField(name, says, tuple(word.strip() for word in words.split(",") if word.strip()), many)


FIELDS_OF_TABLES: Final[tuple[TableField, ...]] = (
    _field("date", "the day of the stringing", "date, datum, fecha, dia, tag, jour, data, day, strung on, strung, besaitet am, bespannt am, corde le, encordado el, cuando, done, erledigt, dato"),
    _field("customer", "who the racquet belongs to", "customer, client, cliente, kunde, kundin, player, spieler, spielerin, joueur, joueuse, jugador, jugadora, member, mitglied, adherent, socio, name, nom, nombre, kundenname, customer name, name kunde, owner, besitzer, who, wer, qui, fur, for, nom du client, nombre del cliente, spielername, player name"),
    _field("first_name", "the customer's first name", "first name, firstname, given name, vorname, prenom, nombre de pila, forename"),
    _field("last_name", "the customer's last name", "last name, lastname, surname, family name, nachname, familienname, nom de famille, apellido, apellidos"),
    _field("racquet", "the racquet's model", "racquet, racket, schlager, schlaeger, raquette, raqueta, frame, rahmen, cadre, model, modell, modele, modelo, rackets, racchetta, racquet model, schlagermodell"),
    _field("maker", "the racquet's maker", "brand, marke, marque, marca, maker, manufacturer, hersteller, racquet brand, schlagermarke, fabricant, fabricante"),
    _field("label", "which of several equal racquets", "label, racket no, racquet no, schlager nr, schlagernr, nr schlager, mark, markierung, repere, kennzeichen, no of racquet, which, welcher"),
    _field("serial", "the racquet's serial number", "serial, serial no, serial number, seriennummer, serien nr, numero de serie, n de serie, sn"),
    _field("grip", "the grip size", "grip, grip size, griffstarke, griff, taille de grip, grosor, tamano de grip, empunadura, manche"),
    _field("sport", "the sport", "sport, sportart, deporte, discipline"),
    _field("head", "the head size", "head, head size, kopfgrosse, schlagerkopf, tamis, taille de tamis, cabeza"),
    _field("string", "the string", "string, strings, saite, saiten, saitentyp, bespannung, besaitung, cordage, cordages, cuerda, cordaje, corde, stringing, string used, string type, material, hybrid"),
    _field("mains", "the string of the mains", "mains, main, main string, mains string, langs, langssaite, saite langs, montants, verticales, principales"),
    _field("crosses", "the string of the crosses", "crosses, cross, cross string, crosses string, quer, quersaite, saite quer, travers, horizontales, cruzadas"),
    _field("string_maker", "the string's maker", "string brand, string maker, saitenmarke, saitenhersteller, marque cordage, marque du cordage, marca cuerda, marca de cuerda"),
    _field("gauge", "the string's thickness", "gauge, thickness, starke, saitenstarke, durchmesser, jauge, calibre, diametre, grosor cuerda, diametro, mm"),
    _field("material", "what the string is made of", "string material, saitenmaterial, matiere, matiere cordage, materiau"),
    _field("tension", "the tension, mains and crosses", "tension, tensions, harte, haerte, bespannharte, besaitungsharte, bespannungsharte, spannung, zug, tension cordage, tensione, kg, lbs, lb, kp, kilo, kilos, pounds, gewicht, libras, livres, zugkraft, weight"),
    _field("mains_tension", "the tension of the mains", "tension mains, mains tension, main tension, harte langs, kg langs, langs kg, tension montants, tension verticales, mains kg, mains lbs, kg mains, lbs mains, zug langs, m"),
    _field("crosses_tension", "the tension of the crosses", "tension crosses, crosses tension, cross tension, harte quer, kg quer, quer kg, tension travers, tension horizontales, crosses kg, crosses lbs, kg crosses, lbs crosses, zug quer, x"),
    _field("mass", "the racquet's mass", "mass, masse, peso, poids, schlagergewicht, weight g, static weight, gramm, grams"),
    _field("balance", "the balance", "balance, balancepunkt, equilibre, equilibrio, schwerpunkt"),
    _field("swingweight", "the swingweight", "swingweight, sw, schwunggewicht"),
    _field("ring", "the reading of the string bed", "reading, frequency, frequenz, hz, frequence, frecuencia, messung, messwert, db, dt"),
    _field("price", "the price, for the shop alone", "price, preis, prix, precio, eur, euro, gbp, chf, betrag, cost, total, montant, importe, amount, charge"),
    _field(REMARK, "a remark, for the shop alone", "remark, remarks, note, notes, comment, comments, bemerkung, bemerkungen, anmerkung, anmerkungen, notiz, notizen, remarque, remarques, commentaire, commentaires, observaciones, nota, notas, comentario, info, sonstiges, divers, otros, observations, hinweis", many=True),
    _field("note", "a note that the player's page shows", "", many=True),
    _field("email", "the customer's e-mail, for the shop alone", "email, e mail, mail, courriel, correo, e mail adresse"),
    _field("phone", "the customer's phone, for the shop alone", "phone, telephone, telefon, tel, mobile, handy, handynummer, portable, movil, telefono, mobil, telefonnummer"),
    _field("number", "the passport number", "card no, card, passport, passport number, passport no, ausweis, passnummer"),
)  # fmt: skip
"""The first that fits wins where a heading means two; ``many`` may stand over several columns."""

BY_NAME: Final = {field.name: field for field in FIELDS_OF_TABLES}
NEEDED: Final = ("date", "customer")
"""Without these a table tells of no job; first and last name together are a customer."""
WITH_UNITS: Final = {
    "tension": "24.5 kg", "mains_tension": "24.5 kg", "crosses_tension": "24.5 kg", "mass": "331 g", "balance": "322 mm",
    "swingweight": "318 kgcm2", "ring": "580 Hz",
}  # fmt: skip
TENSIONS: Final = ("tension", "mains_tension", "crosses_tension")
SUM_WORDS: Final = frozenset(
    ["total", "totals", "sum", "summe", "gesamt", "gesamtsumme", "zwischensumme", "subtotal", "somme", "suma", "totale",
     "total general", "average", "durchschnitt", "moyenne", "promedio", "anzahl", "nombre total", "count", "ubertrag"]
)  # fmt: skip
"""Words at whose row a table sums up."""
DITTO: Final = frozenset(
    [
        '"',
        "''",
        "″",
        "“",
        "”",
        "„",
        "do",
        "do.",
        "dto",
        "dto.",
        "dito",
        "ditto",
        "idem",
        "id.",
        "〃",
        '-"-',
        '--"--',
        "s.o.",
        "siehe oben",
    ]
)
"""Marks that say: as above."""
