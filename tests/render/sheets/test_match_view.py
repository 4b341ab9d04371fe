"""What the sheet of a set says."""

from dataclasses import replace

from sheetfacts import SHOP, matched, the_set

from passport.render.sheets.match_view import SetView, has_work
from passport.render.sheets.sheet import _templates
from passport.workshop.rebuild.plan import percent


def view(found) -> SetView:
    """The view of a match."""
    say, _, f = _templates("match", found.members[0], SHOP)
    return SetView(found, say, f, found.to)


def named(found, **changes):
    """The same match with changes to all its frames."""
    return replace(found, members=tuple(replace(m, frame=replace(m.frame, **changes)) for m in found.members))


def test_a_set_is_called_by_its_name():
    """Frames of one named set are called by it, others by their player and how many they are."""
    assert view(named(the_set(), set="Match set", player="Ada")).title == "Ada, Match set"
    assert view(named(the_set(), set="", player="Ada")).title == "Ada, 2 frames"
    assert view(named(matched(), set="", player="Ada & Co")).title == "Ada & Co, 1 frame"


def test_frames_of_two_players_have_no_players_name():
    """Frames of different players are only counted."""
    found = the_set()
    one, two = found.members
    mixed = replace(found, members=(one, replace(two, frame=replace(two.frame, player="Ben", set=""))))
    assert view(mixed).title == "2 frames"


def test_before_and_after_of_each_frame():
    """Each frame has its figures before and with the plan, in the order of the columns, with two standard uncertainties."""
    found = the_set()
    shown = view(found)
    assert shown.quantities == ("mass", "balance", "swingweight", "twistweight")
    for row, member in zip(shown.rows, found.members, strict=True):
        for texts, figures in ((row.before, member.start), (row.after, member.plans[0].predicted)):
            mass = figures.mass
            assert texts[0] == f"{mass.value:.1f} ± {2 * mass.u:.1f}"
            assert len(texts) == 4


def test_each_frame_says_how_surely_it_will_be_inside():
    """The chance of each quantity stands with a bar of what it hangs on, and the chance of all together once a frame."""
    found = the_set()
    shown = view(found)
    for row, member in zip(shown.rows, found.members, strict=True):
        plan = member.plans[0]
        expected = {outlook.quantity: outlook for outlook in plan.outlook}
        assert [chance for _, chance in row.chances] == [percent(expected[q].probability) for q in shown.quantities]
        assert row.together == percent(plan.chance)
        for (drawn, _), quantity in zip(row.chances, shown.quantities, strict=True):
            assert drawn.count("<rect") == len(expected[quantity].made_up)
    parts = {part.cause for member in found.members for o in member.plans[0].outlook for part in o.made_up}
    assert set(shown.causes) == parts


def test_limits_lie_around_the_common_target():
    """The limits of each quantity are the common target less and plus half of what counts as equal."""
    found = the_set()
    aims = {aim.quantity: aim for aim in found.aims}
    mass = aims["mass"]
    assert view(found).limits[0] == f"{mass.target - mass.tolerance:.1f} – {mass.target + mass.tolerance:.1f}"


def test_work_or_none():
    """A plan with anything to add has work; one without additions, removals and steps has none."""
    member = next(m for m in the_set().members if m.plans[0].additions)
    assert has_work(member)
    nothing = replace(member.plans[0], additions=(), removals=(), steps=())
    assert not has_work(replace(member, plans=(nothing,)))


def test_cautions_of_all_frames_each_once():
    """Every caution that a frame calls for is printed once for the set, with the makers' limits at the end."""
    one, two = the_set().members
    found = replace(
        the_set(), members=(replace(one, cautions=("silicone", "limits")), replace(two, cautions=("silicone", "heat")))
    )
    told = view(found).cautions
    assert len(told) == 3
    assert "acetic" in told[0] and "sleeve" in told[1] and "licensed practice" in told[-1]
