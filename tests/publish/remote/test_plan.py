"""What goes up and in which order, what goes away, and when that is too much."""

from onlineshop import files_of, key_of, online

from passport.publish.remote.expected import expected_of, file_of
from passport.publish.remote.plan import There, UploadPlan


def site(root, files, closed=frozenset()):
    """What a site of these files should be, by the key of the same workshop."""
    shop = online(root, files=files)
    shop.write(files, closed)
    found = expected_of(shop.site, shop.key)
    assert found
    return found, shop


def test_contents_pages_home(tmp_path):
    """Contents come in the order of paths, then pages, the home page last of all."""
    wanted, _ = site(tmp_path, files_of(3))
    plan = UploadPlan(wanted, There())
    assert not [mark for mark in plan.contents if mark.path.endswith(".html")]
    assert [mark.path for mark in plan.pages][-1] == "index.html"
    assert {mark.path for mark in (*plan.contents, *plan.pages)} == set(files_of(3)) == plan.new
    assert plan.size == sum(map(len, files_of(3).values())) and plan.gone == () and not plan.nothing


def test_what_is_uncertain_is_sent_again_unless_we_sent_it(tmp_path):
    """A file of a stopped run is sent again, unless our own note says that it is there with the wanted bytes."""
    wanted, _ = site(tmp_path, files_of(3))
    card, page = f"{key_of(1)}/card-1.pdf", f"{key_of(1)}/index.html"
    pending = {path: wanted.files[path] for path in (card, page)}
    assert UploadPlan(wanted, There(wanted)).nothing
    plan = UploadPlan(wanted, There(wanted, pending, {card: wanted.files[card].sum, page: "0" * 32}))
    assert [mark.path for mark in (*plan.contents, *plan.pages)] == [page]
    assert not plan.nothing, "the list of uncertain files has to go away"
    others = UploadPlan(wanted, There(wanted, {"old.txt": wanted.files[card]}))
    assert others.gone == ("old.txt",)


def test_more_than_a_tenth_of_the_passports_is_too_many(tmp_path):
    """Of twenty passports two may go without a word, three may not; one that is closed counts as gone."""
    before, _ = site(tmp_path, files_of(20))
    assert before.passports == {key_of(number) for number in range(20)}
    for left, too_many in ((18, False), (17, True)):
        after, _ = site(tmp_path, files_of(left))
        plan = UploadPlan(after, There(before))
        assert (len(plan.lost), plan.too_many) == (20 - left, too_many)
    after, _ = site(tmp_path, files_of(20), frozenset(map(key_of, range(3))))
    assert UploadPlan(after, There(before)).lost == set(map(key_of, range(3))) == after.closed
    assert UploadPlan(after, There(before)).too_many


def test_a_file_is_what_its_manifest_says_or_nothing(tmp_path):
    """The bytes of a file count only with the size and hash that the manifest tells."""
    wanted, shop = site(tmp_path, files_of(2))
    mark = wanted.files["assets/style.css"]
    assert file_of(shop.site, mark) == files_of(2)["assets/style.css"]
    (shop.site / mark.path).write_bytes(b"x" * mark.size)
    assert file_of(shop.site, mark) is None
