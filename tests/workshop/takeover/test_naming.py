"""Names of a table against those that are known: certain, asked about, new; decided once."""

from passport.workshop.takeover.decisions import LEAVE_OUT, NEW, NameDecision
from passport.workshop.takeover.naming import KnownName, WrittenName, told

KNOWN = (KnownName("ada", "Ada Kern", ("Ada Kern",)), KnownName("bo", "Bo", ("Bo", "Bodil Tann")))


def names(*texts, decided=None, known=KNOWN, lacking=()):
    """What names mean; a text with a number behind it stands in so many rows."""
    written, row = [], 1
    for text in texts:
        name, _, count = text.partition("*")
        rows = tuple(range(row, row + int(count or 1)))
        row += len(rows)
        written.append(WrittenName(name, rows))
    return told(
        written,
        known,
        lambda text: (decided or {}).get(text, NameDecision()),
        lambda name, more: ({"name": name.text, **more}, lacking),
    )


def open_names(found):
    """The names that are asked about."""
    return [question.name for question in found.questions]


def test_what_is_there_and_what_is_new():
    """By any of the ways in which a record is called, whatever the case; all else is new."""
    found = names("ADA KERN", "bodil tann", "Cy Umber")
    assert found.meant["ada kern"].ref == "ada"
    assert found.meant["bodil tann"].ref == "bo"
    assert found.meant["cy umber"].new == {"name": "Cy Umber"}
    assert not found.questions


def test_what_may_be_one_that_is_there_is_asked_about():
    """With what it may be, the surest first."""
    found = names("Ada Kärn", known=(*KNOWN, KnownName("adah", "Adah Karn", ("Adah Karn",))))
    (question,) = found.questions
    assert [choice for choice, _ in question.choices] == ["ada", "adah"]
    assert "ada karn" not in found.meant


def test_of_two_spellings_in_a_table_the_plainly_commoner_is_right():
    """Hardly commoner than the other it is asked about as well; a shortened one never stands for the full one."""
    assert open_names(names("Marie Lorne*6", "Maria Lorne*1")) == ["Maria Lorne"]
    assert sorted(open_names(names("Marie Lorne*3", "Maria Lorne*2"))) == ["Maria Lorne", "Marie Lorne"]
    assert open_names(names("M. Lorne*9", "Maëlle Lorne*1")) == ["M. Lorne"]


def test_an_accent_is_written_by_nobody_by_mistake():
    """So the name without it does not win by its number."""
    assert sorted(open_names(names("Maelle Lorne*9", "Maëlle Lorne*1"))) == ["Maelle Lorne", "Maëlle Lorne"]
    assert open_names(names("Maelle Lorne*1", "Maëlle Lorne*9")) == ["Maelle Lorne"]


def test_capitals_throughout_are_nobodys_name_where_there_is_another():
    """The new record is called as somebody writes it who does not shout."""
    assert names("CY UMBER*5", "Cy Umber*1").meant["cy umber"].new == {"name": "Cy Umber"}


def test_two_records_of_one_name():
    """Which of them is asked."""
    found = names("Ada Kern", known=(*KNOWN, KnownName("ada-2", "Ada Kern", ("Ada Kern",))))
    assert [choice for choice, _ in found.questions[0].choices] == ["ada", "ada-2"]


def test_decided_once():
    """A record, another name of the table, a new one, none of its rows; what was made for it is not made again."""
    decided = {
        "Ada K.": NameDecision("ada"), "M. Lorne": NameDecision("Maëlle Lorne"), "Ada Karn": NameDecision(NEW),
        "Total": NameDecision(LEAVE_OUT), "Bo T.": NameDecision(NEW, became="bo"),
    }  # fmt: skip
    found = names("Ada K.", "M. Lorne", "Maëlle Lorne", "Ada Karn", "Total", "Bo T.", decided=decided)
    assert not found.questions
    assert found.meant["ada k"].ref == "ada"
    assert found.meant["m lorne"] == found.meant["maëlle lorne"]
    assert found.meant["ada karn"].new == {"name": "Ada Karn"}
    assert found.meant["total"].left
    assert found.meant["bo t"].ref == "bo"


def test_one_answer_settles_two_spellings():
    """Whose name the other one is said to be is right, and not asked about any more."""
    decided = {"Ines Hölm": NameDecision("Ines Holm")}
    found = names("Ines Holm*2", "Ines Hölm*1", decided=decided)
    assert not found.questions
    assert found.meant["ines hölm"] == found.meant["ines holm"]


def test_a_decision_that_cannot_be_done_says_why():
    """An unknown record, a circle, a new one that lacks something."""
    (wrong,) = names("Ada K.", decided={"Ada K.": NameDecision("adda")}).questions
    assert "'adda' is no name of the records" in wrong.problem
    circle = {"Cy": NameDecision("Dee"), "Dee": NameDecision("Cy")}
    problems = [question.problem for question in names("Cy", "Dee", decided=circle).questions]
    assert len(problems) == 2
    assert all("each said to be the other" in problem for problem in problems)
    (bare,) = names("Cy", decided={"Cy": NameDecision(NEW)}, lacking=("maker", "head")).questions
    assert "maker, head" in bare.problem
    (waits,) = [q for q in names("Ada K.", "Cy", decided={"Cy": NameDecision("Ada K.")}).questions if q.name == "Cy"]
    assert "which is open itself" in waits.why


def test_names_of_a_record_are_taken_as_they_stand():
    """What is written as the records name it is that record."""
    assert names("bo").meant["bo"].ref == "bo"
