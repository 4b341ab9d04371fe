"""Whether something is there already."""

from passport.workshop.entry.recognising import recognised

STRINGS = {
    "reed-125": ("reed-125", "Reed", "Oxbow Reed"),
    "reed-130": ("reed-130", "Reed 1.30", "Oxbow Reed 1.30"),
    "flint": ("flint", "Flint", "Oxbow Flint"),
}
PLAYERS = {"maelle": ("maelle", "Maëlle L."), "ada": ("ada", "Ada", "Ada Quill"), "ada-2": ("ada-2", "Ada")}


def test_a_real_name_or_a_catalogue_name_is_surely_meant():
    """Both names count, in any case and with any spaces."""
    assert [recognised(said, STRINGS).sure for said in ("reed-125", "  oxbow   REED", "flint")] == [
        "reed-125",
        "reed-125",
        "flint",
    ]


def test_what_is_nearly_a_name_is_asked_about():
    """A typo, an accent left out or a beginning is no certainty, and is offered; something else is not."""
    assert recognised("Flnt", STRINGS).near == ("flint",)
    assert recognised("maelle l", PLAYERS) == recognised("Maelle L.", PLAYERS)
    assert recognised("Maelle L.", PLAYERS).near == ("maelle",)
    assert recognised("Reeds", STRINGS).near[0] == "reed-125"
    assert recognised("Oxbow Reed 1.20", STRINGS).near == ("reed-125",)  # that one's own name has no figure
    assert recognised("Read 1.30", STRINGS).near == ("reed-130",)
    assert recognised("Gravel", STRINGS).near == ()


def test_a_name_that_two_have_is_never_guessed():
    """Two players of one name are both offered."""
    found = recognised("ada", {k: v for k, v in PLAYERS.items() if k != "ada"} | {"ada-3": ("ada-3", "Ada")})
    assert (found.sure, set(found.near)) == ("", {"ada-2", "ada-3"})
